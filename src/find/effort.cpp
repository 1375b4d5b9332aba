#include <algorithm>

#include "find/effort_internal.h"
#include "standards/named_figures.h"

namespace loomgraft::find {
namespace {

double minutes_of(const char* name) {
  static const NamedFigures table("probe_minutes.csv", "minutes");
  return table.at(name);
}

// How many of `some` are not among `others`.
std::size_t missing_from(const std::vector<std::string>& others, const std::vector<std::string>& some) {
  return static_cast<std::size_t>(
      std::ranges::count_if(some, [&](const std::string& one) { return !std::ranges::count(others, one); }));
}

bool is_same_point(const ProbePoint& a, const ProbePoint& b) {
  return a.target == b.target && a.at == b.at && a.side == b.side && a.text == b.text;
}

}  // namespace

Effort::Effort(const ProveReport& report, std::optional<std::size_t> last, std::set<std::size_t> opened)
    : report_(report), last_(last), opened_(std::move(opened)) {
  for (std::size_t k = 0; k < report.conditions.size(); ++k) conditions_.push_back(to_condition(k));
}

double Effort::to_condition(std::size_t number) const {
  const ProveCondition& to = report_.conditions[number];
  const ProveCondition* from = last_ ? &report_.conditions[report_.tests[*last_].condition] : nullptr;
  if (from == &to) return 0.0;
  double minutes = to.minutes;
  const bool from_dead = from && from->setup.battery_off;
  // Every part out: the plan counts the battery and the plugs in the dead condition that it follows.
  if (to.setup.battery_off && !to.setup.removed.empty() && !from_dead) {
    const auto base = std::ranges::find_if(report_.conditions, [](const ProveCondition& one) {
      return one.setup.battery_off && one.setup.removed.empty();
    });
    if (base != report_.conditions.end()) minutes += base->minutes;
  }
  // With power on and plugs apart, after they were mated again or never taken apart.
  static const std::vector<std::string> none;
  const bool plugs_to_part = missing_from(from ? from->setup.unplugged : none, to.setup.unplugged) > 0;
  if (!to.setup.battery_off && plugs_to_part) minutes += 2.0 * minutes_of("unplug_module");
  // Fuses go back in; putting back the parts of the bare condition is counted in that one.
  if (from && !from_dead)
    minutes += minutes_of("remove_device") *
               static_cast<double>(missing_from(to.setup.removed, from->setup.removed));
  return minutes;
}

// The clip or probe that is at the same point in the same condition is not moved.
double Effort::kept_leads(const ProveTest& test) const {
  if (!last_) return 0.0;
  const ProveTest& last = report_.tests[*last_];
  if (last.condition != test.condition || !last.clamp.empty() || !test.clamp.empty()) return 0.0;
  double minutes = 0.0;
  if (is_same_point(last.red, test.red)) minutes += test.red.minutes;
  if (is_same_point(last.black, test.black)) minutes += test.black.minutes;
  return minutes;
}

double Effort::minutes_to(const ProveTest& test) const {
  double minutes = test.minutes - kept_leads(test) + conditions_[test.condition];
  for (const std::size_t access : test.accesses) {
    if (!opened_.contains(access)) minutes += report_.accesses[access].minutes;
  }
  return minutes;
}

}  // namespace loomgraft::find
