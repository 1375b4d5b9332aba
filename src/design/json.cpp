#include "design/json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "base/json_figures.h"
#include "base/problem_json.h"

namespace loomgraft {
namespace {

using Json = nlohmann::ordered_json;

// Six significant digits: below what any figure of the report means.
Json figure(double value) {
  return json_figure(value, 6);
}

Json check_json(const Check& check) {
  return {{"check", name_of(check.kind)},
          {"subject", id_of(check.subject)},
          {"text", check.text},
          {"condition", check.condition},
          {"value", figure(check.value)},
          {"limit", figure(check.limit)},
          {"unit", check.unit},
          {"bound", check.at_most ? "at_most" : "at_least"},
          {"margin", figure(check.margin)},
          {"passes", check.passes},
          {"judged", check.judged},
          {"deciding", check.deciding},
          {"assumed", check.assumed},
          {"why",
           {{"formula", check.why.formula},
            {"source", check.why.source},
            {"inputs", json_list(check.why.inputs, [](const WhyInput& input) {
               return Json{{"name", input.name}, {"value", input.value}, {"from", input.from}};
             })}}}};
}

// Null where nobody stated it and no way tells it.
Json length(Metres value) {
  return value.si > 0 ? figure(in_millimetres(value)) : Json();
}

Json area(const std::optional<SquareMetres>& value) {
  return value ? figure(in_square_millimetres(*value)) : Json();
}

Json wire_json(const WireDesign& wire) {
  return {{"wire", wire.wire},
          {"signal", wire.signal},
          {"length_mm", length(wire.length)},
          {"length_shortest_mm", length(wire.length_shortest)},
          {"length_longest_mm", length(wire.length_longest)},
          {"length_assumed", wire.length_assumed},
          {"stated_mm2", area(wire.stated)},
          {"stated_awg", wire.stated_awg},
          {"smallest_mm2", wire.smallest.si > 0 ? figure(in_square_millimetres(wire.smallest)) : Json()},
          {"smallest_awg", wire.smallest_awg},
          {"limited_by", wire.limited_by},
          {"insulation", wire.insulation},
          {"insulation_assumed", wire.insulation_assumed},
          {"insulation_needed", wire.insulation_needed},
          {"current_a", figure(wire.current.si)},
          {"conductor_c", figure(wire.conductor.degrees)},
          {"outer_diameter_mm", figure(in_millimetres(wire.outer_diameter))},
          {"bend_radius_mm", figure(in_millimetres(wire.bend_radius))},
          {"pull_force_n", wire.pull_force ? figure(wire.pull_force->si) : Json()},
          {"fuse", wire.protection ? Json(wire.protection->fuse) : Json()}};
}

Json fuse_json(const FuseDesign& fuse) {
  return {{"device", fuse.device},
          {"load_a", figure(fuse.load.si)},
          {"stated_a", fuse.stated ? figure(fuse.stated->si) : Json()},
          {"needed_a", figure(fuse.needed.si)},
          {"smallest_a", fuse.smallest ? figure(fuse.smallest->si) : Json()},
          {"family", fuse.family ? Json(fuse.family->name) : Json()},
          {"family_assumed", fuse.family_assumed}};
}

Json remedy_json(const Remedy& remedy) {
  return {{"remedy", name_of(remedy.kind)},
          {"subject", id_of(remedy.subject)},
          {"text", remedy.text},
          {"trade_off", remedy.trade_off},
          {"passes", remedy.passes},
          {"after", json_list(remedy.after, check_json)}};
}

Json missing_json(const Missing& missing) {
  return {{"fact", name_of(missing.fact)}, {"subject", missing.subject}, {"text", missing.text}};
}

Json circuit_json(const CircuitDesign& circuit) {
  return {{"id", circuit.id},
          {"name", circuit.name},
          {"passes", circuit.passes},
          {"judged", circuit.judged},
          {"wires", json_list(circuit.wires, wire_json)},
          {"fuses", json_list(circuit.fuses, fuse_json)},
          {"checks", json_list(circuit.checks, check_json)},
          {"remedies", json_list(circuit.remedies, remedy_json)},
          {"missing", json_list(circuit.missing, missing_json)}};
}

Json back_feed_json(const BackFeed& feed) {
  return {{"condition", feed.condition},
          {"subject", id_of(feed.subject)},
          {"text", feed.text},
          {"current_a", figure(feed.current.si)}};
}

Json outcome_json(const AssumedOtherwise& outcome) {
  return {{"instead", outcome.instead},
          {"circuit", outcome.circuit},
          {"check", name_of(outcome.kind)},
          {"subject", id_of(outcome.subject)},
          {"value", figure(outcome.value)},
          {"limit", figure(outcome.limit)},
          {"unit", outcome.unit},
          {"bound", outcome.at_most ? "at_most" : "at_least"},
          {"margin_now", figure(outcome.margin_now)},
          {"margin", figure(outcome.margin)},
          {"passes_now", outcome.passes_now},
          {"passes", outcome.passes}};
}

Json assumption_json(const DesignAssumption& assumption) {
  return {{"subject", assumption.subject},
          {"quantity", assumption.quantity},
          {"value", assumption.value},
          {"why", assumption.why},
          {"outcome", assumption.outcome ? outcome_json(*assumption.outcome) : Json()}};
}

Json optional_check(const std::optional<Check>& check) {
  return check ? check_json(*check) : Json();
}

}  // namespace

nlohmann::ordered_json to_json(const DesignReport& report) {
  return {{"rule_set", report.rule_set},
          {"passes", report.passes},
          {"circuits", json_list(report.circuits, circuit_json)},
          {"missing", json_list(report.missing, missing_json)},
          {"back_feeds", json_list(report.back_feeds, back_feed_json)},
          {"assumptions", json_list(report.assumptions, assumption_json)},
          {"problems", problems_json(report.problems)}};
}

nlohmann::ordered_json to_json(const WhatIfReport& report) {
  return {{"change", report.change},
          {"passed_before", report.passed_before},
          {"passes_after", report.passes_after},
          {"sizes", json_list(report.sizes,
                              [](const SizeChange& size) {
                                return Json{{"wire", size.wire},
                                            {"before_mm2", figure(in_square_millimetres(size.before))},
                                            {"after_mm2", figure(in_square_millimetres(size.after))}};
                              })},
          {"checks", json_list(report.checks, [](const CheckChange& change) {
             return Json{{"circuit", change.circuit},
                         {"before", optional_check(change.before)},
                         {"after", optional_check(change.after)}};
           })}};
}

}  // namespace loomgraft
