// Counts of verdicts as JSON: {"keep":1,"shift":0,...}.
#pragma once

#include <nlohmann/json.hpp>

#include "compare/verdict.h"

namespace loomgraft {

inline nlohmann::ordered_json to_json(const Summary& s) {
  return {{"keep", s.keep}, {"shift", s.shift}, {"add", s.add}, {"retire", s.retire}, {"clash", s.clash}, {"unsure", s.unsure}};
}

}  // namespace loomgraft
