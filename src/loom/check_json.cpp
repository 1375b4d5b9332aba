#include "loom/check_json.h"

#include <nlohmann/json.hpp>

#include "base/json_figures.h"
#include "base/problem_json.h"
#include "loom/forbidden.h"
#include "loom/names_internal.h"

namespace loomgraft {
namespace {

using Json = nlohmann::ordered_json;

Json presumed_json(const PresumedPart& part) {
  return {{"subject", loom::safety_subjects[static_cast<std::size_t>(part.subject)]},
          {"at", part.at.at},
          {"cavity", part.at.cavity},
          {"name", part.name},
          {"said", part.said},
          {"word", part.word},
          {"kind", name_of(part.kind)}};
}

}  // namespace

nlohmann::ordered_json check_json(const Graft* graft, const Problems& problems) {
  const std::vector<PresumedPart> presumed =
      graft ? forbidden_parts(*graft).presumed : std::vector<PresumedPart>();
  return {{"usable", graft != nullptr},
          {"presumed", json_list(presumed, presumed_json)},
          {"problems", problems_json(problems)}};
}

}  // namespace loomgraft
