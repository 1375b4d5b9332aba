// The rules of one job: its rule set with the job's own overrides.
//
// Fails   an unknown set or rule name is a Problem; the default set, or the set's own value, is used
#pragma once

#include <string>
#include <string_view>

#include "base/problem.h"
#include "loom/graft.h"
#include "standards/rule_sets.h"

namespace loomgraft::design {

struct RuleBook {
  const RuleSet* set = nullptr;
  std::vector<RuleOverride> overrides;
  Problems problems;
};

RuleBook rule_book(const Graft& graft);

// The value that applies, and its source as text. Needs a rule of the set: a wrong name is a bug (std::logic_error).
double rule(const RuleBook& book, std::string_view name);
std::string rule_source(const RuleBook& book, std::string_view name);

}  // namespace loomgraft::design
