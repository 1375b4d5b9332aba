// Any bytes as a graft document: no crash, and what is read comes back the same once written.
#include "loom/graft_json.h"

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "loom/plan.h"
#include "loom/validate.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace loomgraft;
  const GraftReading reading = graft_from_json({reinterpret_cast<const char*>(data), size}, "graft.json");
  if (!reading.graft && reading.problems.empty()) std::abort();
  if (!reading.graft) return 0;
  validate(*reading.graft);
  const std::string text = write_graft(*reading.graft);
  const GraftReading back = graft_from_json(text, "graft.json");
  if (!back.graft || write_graft(*back.graft) != text) std::abort();
  return 0;
}
