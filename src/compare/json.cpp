#include "compare/json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "base/problem_json.h"
#include "compare/summary_json.h"
#include "compare/tags_json.h"

namespace loomgraft {
namespace {

using Json = nlohmann::ordered_json;

// Four decimals are below any meter's last digit; an unlimited value is null, since JSON has no infinity.
Json figure(double value) {
  if (!std::isfinite(value)) return {};
  return std::round(value * 1e4) / 1e4;
}

Json pin(const std::optional<PinName>& name) {
  if (!name) return {};
  return {{"connector", name->connector}, {"cavity", name->cavity}, {"signal", name->signal}};
}

Json cavity(const CavityRef& at) {
  if (at.connector.empty() && at.cavity.empty()) return {};
  return {{"connector", at.connector}, {"cavity", at.cavity}};
}

Json consequence(const Consequence* known, bool lost) {
  if (!known) return {};
  return {{"circuit", known->circuit},
          {"text", lost ? known->when_lost : known->may},
          {"source", known->source},
          {"status", known->status}};
}

Json loss(const std::optional<Loss>& lost) {
  if (!lost) return {};
  return {{"grade", name_of(lost->grade)},
          {"reason", lost->reason},
          {"consequence", consequence(lost->consequence, true)}};
}

Json hazard(const CircuitReport& circuit) {
  const Contention& c = circuit.hazard;
  return {{"grade", name_of(c.grade)},
          {"current_a", figure(c.current.si)},
          {"voltage_v", figure(c.voltage.si)},
          {"energy_mj", figure(in_millijoules(c.energy))},
          {"limit", c.limit},
          {"loom_state", c.loom_state},
          {"pin_state", c.pin_state},
          {"meets", pin(circuit.meets)},
          {"assumed", c.assumed},
          {"consequence", consequence(c.consequence, false)},
          {"reason", c.reason}};
}

Json circuit(const CircuitReport& c) {
  Json json{{"verdict", name_of(c.verdict)},
            {"signal", c.signal},
            {"found", pin(c.found)},
            {"donor", pin(c.donor)},
            {"confidence", figure(c.confidence)},
            {"hazard", hazard(c)},
            {"loss", loss(c.loss)},
            {"why", c.why}};
  if (c.decided) json["decided"] = true;
  return json;
}

Json move_step(const MoveStep& step) {
  return {{"step", step.step},     {"action", name_of(step.action)}, {"from", cavity(step.from)},
          {"to", cavity(step.to)}, {"signal", step.signal},          {"note", step.note},
          {"loses", step.loses}};
}

// What the meter shows under each claim; `claims` are positions in the pin's list of claims.
Json measure(const SettleMeasurement& measurement) {
  Json shows = Json::array();
  for (const ClaimBand& band : measurement.bands)
    shows.push_back({{"claims", band.claims}, {"reading", band.shows}});
  return {{"instruction", measurement.instruction}, {"shows", shows}, {"conclusive", measurement.conclusive}};
}

Json question(const Question& q) {
  Json json{{"connector", q.about.connector}, {"cavity", q.about.cavity},
            {"signal", q.about.signal},       {"question", q.text},
            {"answer_by", q.answer_by},       {"weight", q.weight}};
  if (q.other) json["same_as"] = pin(q.other);
  if (q.measure) json["measure"] = measure(*q.measure);
  return json;
}

Json adapter(const AdapterLead& lead) {
  return {{"wires", lead.wires},
          {"crossed", lead.crossed},
          {"joints", lead.joints},
          {"reversible", lead.reversible},
          {"limits", lead.limits}};
}

template <class List, class Write>
Json list(const List& items, Write write) {
  Json array = Json::array();
  for (const auto& item : items) array.push_back(write(item));
  return array;
}

}  // namespace

nlohmann::ordered_json to_json(const CompareReport& report) {
  return {{"found", report.found},
          {"donor", report.donor},
          {"circuits", list(report.circuits, circuit)},
          {"moves", list(report.moves.steps, move_step)},
          {"move_counts",
           {{"extractions", report.moves.extractions},
            {"insertions", report.moves.insertions},
            {"parkings", report.moves.parkings},
            {"cavity_plugs_in", report.moves.cavity_plugs_in},
            {"cavity_plugs_out", report.moves.cavity_plugs_out}}},
          {"adapter", adapter(report.adapter)},
          {"questions", list(report.questions, question)},
          {"tags", list(report.tags, [](const TagFinding& finding) { return to_json(finding); })},
          {"summary", to_json(report.summary)},
          {"problems", problems_json(report.problems)}};
}

}  // namespace loomgraft
