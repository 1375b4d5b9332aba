// A tag finding as JSON.
#pragma once

#include <nlohmann/json.hpp>

#include "compare/tags.h"

namespace loomgraft {

inline nlohmann::ordered_json to_json(const TagFinding& finding) {
  return {{"what", finding.what},     {"found", finding.found},
          {"donor", finding.donor},   {"weight", name_of(finding.weight)},
          {"reason", finding.reason}, {"source", finding.source}};
}

}  // namespace loomgraft
