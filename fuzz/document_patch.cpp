// Any bytes as a patch of a small document: refused, or applied within the bounds; what is applied can be taken apart and put
// together again.
#include "store/document_patch.h"

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <nlohmann/json.hpp>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace loomgraft::store;
  static const nlohmann::json document = {{"format", "loomgraft"},
                                          {"title", "van"},
                                          {"wires", {{{"id", "w1"}, {"signal", "a"}}, {{"id", "w2"}}}}};
  const auto patch = read_patch({reinterpret_cast<const char*>(data), size});
  if (!patch) return 0;
  const auto changed = apply_patch(document, *patch);
  if (!changed) return 0;
  const auto again = apply_patch(document, patch_between(document, *changed));
  if (!again || *again != *changed) std::abort();
  return 0;
}
