#include "design/what_if.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>

#include "loom/graft_json.h"

namespace loomgraft {
namespace {

using Json = nlohmann::json;

Problem refuse(std::string_view change, const std::string& why) {
  return {Severity::error,
          "no-such-fact",
          {},
          "The change \"" + std::string(change) + "\" " + why,
          "Write ID.member=value, the member as in the document: valve.resistance_ohm=7, w12.area_mm2=1.5, "
          "rules.drop_earth_v=0.05."};
}

struct Change {  // NOLINT(bugprone-exception-escape): a move of JSON asserts, it does not throw
  std::string id;
  std::string member;
  Json value;
};

std::optional<Change> parse(std::string_view text) {
  const std::size_t equals = text.find('=');
  if (equals == std::string_view::npos) return std::nullopt;
  const std::size_t dot = text.substr(0, equals).rfind('.');
  if (dot == std::string_view::npos || dot == 0) return std::nullopt;
  Change change;
  change.id = text.substr(0, dot);
  change.member = text.substr(dot + 1, equals - dot - 1);
  const std::string value(text.substr(equals + 1));
  const Json read = Json::parse(value, nullptr, false);
  change.value = read.is_discarded() ? Json(value) : read;
  return change;
}

bool set_in_list(Json& list, const Change& change) {
  if (!list.is_array()) return false;
  for (Json& item : list) {
    if (item.value("id", "") != change.id) continue;
    item[change.member] = change.value;
    return true;
  }
  return false;
}

bool set_in_plan(Json& document, const Change& change) {
  if (!document.contains("plan")) return false;
  for (Json& step : document["plan"]) {
    if (!step.contains("added") || step["added"].value("id", "") != change.id) continue;
    step["added"][change.member] = change.value;
    return true;
  }
  return false;
}

bool set_rule(Json& document, const Change& change) {
  if (change.id != "rules") return false;
  if (change.member == "set") {
    document["rules"]["set"] = change.value;
    return true;
  }
  Json& overrides = document["rules"]["overrides"];
  if (!overrides.is_array()) overrides = Json::array();
  std::erase_if(overrides.get_ref<Json::array_t&>(),
                [&](const Json& item) { return item.value("rule", "") == change.member; });
  overrides.push_back({{"rule", change.member}, {"value", change.value}, {"reason", "what if"}});
  return true;
}

bool set_fact(Json& document, const Change& change) {
  if (set_rule(document, change)) return true;
  if (change.id == "vehicle") {
    document["vehicle"][change.member] = change.value;
    return true;
  }
  if (set_in_plan(document, change)) return true;
  for (const char* list : {"wires", "devices", "places", "paths", "connectors"}) {
    if (document.contains(list) && set_in_list(document[list], change)) return true;
  }
  return false;
}

using CheckKey = std::tuple<std::string, CheckKind, std::string>;

std::map<CheckKey, Check> keyed(const DesignReport& report) {
  std::map<CheckKey, Check> checks;
  for (const CircuitDesign& circuit : report.circuits) {
    for (const Check& check : circuit.checks)
      checks.emplace(CheckKey{circuit.id, check.kind, id_of(check.subject)}, check);
  }
  return checks;
}

bool differ(const Check& a, const Check& b) {
  const auto far = [](double x, double y) { return std::abs(x - y) > 1e-6 * std::max(1.0, std::abs(x)); };
  return a.passes != b.passes || far(a.value, b.value) || far(a.limit, b.limit);
}

// Results that changed come first, then the largest change of margin.
double weight(const CheckChange& change) {
  if (!change.before || !change.after) return 1e3;
  const double moved = std::abs(change.after->margin - change.before->margin);
  return (change.after->passes != change.before->passes ? 1e6 : 0.0) + std::min(moved, 1e2);
}

void compare_sizes(const DesignReport& before, const DesignReport& after, WhatIfReport& report) {
  std::map<std::string, SquareMetres> sizes;
  for (const CircuitDesign& circuit : before.circuits) {
    for (const WireDesign& wire : circuit.wires) sizes.emplace(wire.wire, wire.smallest);
  }
  for (const CircuitDesign& circuit : after.circuits) {
    for (const WireDesign& wire : circuit.wires) {
      const auto known = sizes.find(wire.wire);
      if (known != sizes.end() && known->second != wire.smallest)
        report.sizes.push_back({wire.wire, known->second, wire.smallest});
    }
  }
}

}  // namespace

tl::expected<Graft, Problem> changed(const Graft& graft, std::string_view text) {
  const auto change = parse(text);
  if (!change) return tl::unexpected(refuse(text, "does not read as ID.member=value."));
  Json document = Json::parse(to_json(graft).dump(-1, ' ', false, Json::error_handler_t::replace));
  if (!set_fact(document, *change)) return tl::unexpected(refuse(text, "names nothing that the graft has."));
  GraftReading reading = graft_from_json(document.dump(), "change");
  const GraftReading own = graft_from_json(write_graft(graft), "change");
  for (const Problem& problem : reading.problems) {
    if (std::find(own.problems.begin(), own.problems.end(), problem) == own.problems.end())
      return tl::unexpected(refuse(text, "does not fit: " + problem.message));
  }
  if (!reading.graft) return tl::unexpected(refuse(text, "does not fit."));
  return *reading.graft;
}

WhatIfReport what_if(const DesignReport& before, const DesignReport& after, std::string change) {
  WhatIfReport report;
  report.change = std::move(change);
  report.passed_before = before.passes;
  report.passes_after = after.passes;
  const auto old_checks = keyed(before);
  const auto new_checks = keyed(after);
  for (const auto& [key, check] : old_checks) {
    const auto found = new_checks.find(key);
    if (found == new_checks.end()) {
      report.checks.push_back({std::get<0>(key), check, std::nullopt});
    } else if (differ(check, found->second)) {
      report.checks.push_back({std::get<0>(key), check, found->second});
    }
  }
  for (const auto& [key, check] : new_checks) {
    if (!old_checks.contains(key)) report.checks.push_back({std::get<0>(key), std::nullopt, check});
  }
  std::stable_sort(report.checks.begin(), report.checks.end(),
                   [](const CheckChange& a, const CheckChange& b) { return weight(a) > weight(b); });
  compare_sizes(before, after, report);
  return report;
}

}  // namespace loomgraft
