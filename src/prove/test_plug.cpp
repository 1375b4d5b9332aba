// The cover itself decides whether a plug pays: making it is the set-up of its condition. What it saves is the difference of two
// plans.
#include "prove/test_plug.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <map>
#include <set>

#include "base/parallel.h"
#include "prove/figures.h"
#include "prove/plan_internal.h"
#include "prove/test_plug_internal.h"
#include "units/print.h"

namespace loomgraft {

using namespace prove;
namespace {

// IEC 60063, E6 and E12.
constexpr std::array e6{1.0, 1.5, 2.2, 3.3, 4.7, 6.8};
constexpr std::array e12{1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2};

template <class Series>
std::vector<Ohms> between(const Series& series, double low, double high) {
  std::vector<Ohms> values;
  for (double decade = 1.0; decade <= high; decade *= 10.0) {
    for (const double one : series) {
      const double value = std::round(one * decade * 10.0) / 10.0;
      if (value >= low && value <= high) values.push_back({value});
    }
  }
  return values;
}

}  // namespace

std::vector<Ohms> test_plug_series(std::size_t count) {
  const double low = prove_figure("test_plug_low_ohm");
  const double high = prove_figure("test_plug_high_ohm");
  std::vector<Ohms> values = between(e6, low, high);
  if (values.size() < count) values = between(e12, low, high);
  values.resize(std::min(values.size(), count));
  return values;
}

namespace prove {
namespace {

const std::string& name_of(const Connector& connector) {
  return connector.name.empty() ? connector.id : connector.name;
}

std::vector<WireEnd> wired_cavities(const ProveScope& scope, const std::string& plug) {
  std::vector<WireEnd> cavities;
  for (auto at = scope.net_at.lower_bound({plug, ""}); at != scope.net_at.end() && at->first.at == plug;
       ++at) {
    if (scope.nets[at->second].wanted && !is_forbidden(*scope.frame, at->first))
      cavities.push_back(at->first);
  }
  return cavities;
}

PlannedCondition with_plug(const ProveScope& scope, const Condition& apart, const Connector& connector,
                           const std::vector<WireEnd>& cavities) {
  PlannedCondition made;
  made.use = ConditionUse::test_plug;
  ProveCondition& condition = made.condition;
  condition.id = "dead-plug-" + connector.id;
  condition.setup = apart;
  condition.setup.name = condition.id;
  condition.text = "Battery off, parts unplugged or out of their sockets as before. The test plug for " +
                   name_of(connector) + " in the loom's plug, its common lead clipped to the body.";
  condition.minutes = probe_minutes("test_plug");
  const std::vector<Ohms> values = test_plug_series(cavities.size());
  for (std::size_t k = 0; k < values.size(); ++k) {
    condition.jumpers.push_back({cavities[k],
                                 {"body", ""},
                                 print(values[k]) + " from " + end_text(scope, cavities[k]) + " to the body",
                                 values[k],
                                 prove_figure("resistor_spread_share")});
    condition.minutes += probe_minutes("test_plug_resistor");
    made.focus.push_back(cavities[k]);
  }
  condition.cautions = {"Take the test plug out before the battery is joined."};
  return made;
}

TestPlug described(const ProveReport& report, const ProveCondition& condition) {
  TestPlug plug;
  plug.condition = condition.id;
  plug.connector = condition.jumpers.front().from.at;
  plug.minutes = condition.minutes;
  for (const Jumper& jumper : condition.jumpers) plug.resistors.push_back({jumper.from.cavity, jumper.load});
  plug.used = std::ranges::any_of(report.plan, [&](std::size_t test) {
    return report.conditions[report.tests[test].condition].id == condition.id;
  });
  return plug;
}

// What to buy: the counterpart of the plug, the resistors by value, lead and clip.
std::vector<std::string> parts_of(const Graft& graft, const TestPlug& plug) {
  const Connector* connector = find_connector(graft, plug.connector);
  std::vector<std::string> parts{
      "1 counterpart of plug " + plug.text +
      (connector && !connector->part.empty() ? " (for part " + connector->part + ")" : "") +
      ", or its pins on leads"};
  std::map<double, int> resistors;
  for (const TestPlugResistor& one : plug.resistors) ++resistors[one.ohms.si];
  for (const auto& [ohms, count] : resistors)
    parts.push_back(
        fmt::format("{} resistor{} {}, 1 %, 0.25 W", count, count == 1 ? "" : "s", print(Ohms{ohms})));
  parts.push_back("1 common lead with a clip for the body");
  return parts;
}

// Tests with a plug count only for what other tests show too: a plug must save minutes, not add work.
void count_only(const std::vector<bool>& shown, std::vector<ProveTest>& tests) {
  for (ProveTest& test : tests) std::erase_if(test.exposes, [&](std::size_t fault) { return !shown[fault]; });
}

}  // namespace

void add_test_plugs(const ProveScope& scope, std::vector<PlannedCondition>& conditions) {
  // With the parts out, which would join the wires; as in the condition before, whose minutes are not counted again.
  const auto bare = std::ranges::find(conditions, ConditionUse::bare, &PlannedCondition::use);
  if (bare == conditions.end()) return;
  const Condition apart = bare->condition.setup;
  for (const std::string& id : scope.module_plugs) {
    const std::vector<WireEnd> cavities = wired_cavities(scope, id);
    if (static_cast<double>(cavities.size()) < prove_figure("test_plug_from")) continue;
    conditions.push_back(with_plug(scope, apart, *scope.frame->connectors.at(id), cavities));
  }
}

void make_plan_with_plugs(const Graft& graft, const ProveOptions& options, std::size_t first_test,
                          std::size_t first_condition, ProveReport& report) {
  const auto cut = [](auto& list, std::size_t from) {
    std::remove_reference_t<decltype(list)> taken(
        std::make_move_iterator(list.begin() + static_cast<std::ptrdiff_t>(from)),
        std::make_move_iterator(list.end()));
    list.resize(from);
    return taken;
  };
  std::vector<ProveCondition> plugs = cut(report.conditions, first_condition);
  std::vector<ProveTest> tests = cut(report.tests, first_test);
  const bool large = static_cast<double>(report.tests.size()) > prove_figure("cover_points_up_to");
  if (plugs.empty() || tests.empty() || options.minutes || large) return make_plan(graft, options, report);
  std::vector<bool> shown(report.faults.size());
  for (const ProveTest& test : report.tests) {
    for (const std::size_t fault : test.exposes) shown[fault] = true;
  }
  ProveReport with = report;
  std::vector<ProveTest> counted = tests;
  count_only(shown, counted);
  std::ranges::move(counted, std::back_inserter(with.tests));
  with.conditions.insert(with.conditions.end(), plugs.begin(), plugs.end());
  // The solver of covers runs once at a time; the order of the one is searched for beside the choice of the other.
  const CoverPlan choice = plan_choice(report, graft);
  CoverPlan choice_with;
  parallel_for(2, [&](std::size_t which) {
    if (which == 0)
      make_plan(graft, options, report, &choice);
    else
      choice_with = plan_choice(with, graft);
  });
  double saved = 0.0;
  if (choice_with.minutes < choice.minutes) {
    make_plan(graft, options, with, &choice_with);
    saved = report.plan_minutes - with.plan_minutes;
  }
  if (saved > 0.0) {
    report = std::move(with);
    for (std::size_t k = 0; k < tests.size(); ++k) report.tests[first_test + k].exposes = tests[k].exposes;
  }
  for (const ProveCondition& plug : plugs) {
    report.test_plugs.push_back(described(report, plug));
    TestPlug& made = report.test_plugs.back();
    made.text = name_of(*find_connector(graft, made.connector));
    made.parts = parts_of(graft, made);
    if (made.used) saved += made.minutes;
  }
  report.test_plugs_save = std::max(saved, 0.0);
}

}  // namespace prove
}  // namespace loomgraft
