// Any bytes as the head of a request, in any pieces: where it ends does not depend on the pieces.
#include "http/request_head.h"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdlib>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace loomgraft;
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  const std::size_t whole = head_size(bytes);
  if (whole > size) std::abort();
  for (const std::size_t part : {whole, whole + 1, size / 2})
    if (whole > 0 && part >= whole && head_size(bytes.substr(0, std::min(part, size))) != whole) std::abort();
  if (whole == 0) return 0;
  // What passes has no byte that a program on the way could take for something else.
  const std::string_view head = bytes.substr(0, whole);
  const bool fine = is_well_formed_head(head);
  if (fine && (head.find('\0') != std::string_view::npos || head.find("\n ") != std::string_view::npos ||
               head.find(" :") < head.find("\n")))
    std::abort();
  return 0;
}
