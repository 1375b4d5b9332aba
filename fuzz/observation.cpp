// Any bytes as the text of an observation: no crash, no hang.
#include "plug/observation.h"

#include <cstddef>
#include <cstdint>
#include <string_view>

#include "standards/dictionary.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  loomgraft::read_observation({reinterpret_cast<const char*>(data), size}, loomgraft::colour_notations());
  return 0;
}
