#include "prove/json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "base/json_figures.h"
#include "base/problem_json.h"
#include "loom/end_id.h"
#include "prove/confirmed_faults.h"
#include "prove/curve.h"
#include "prove/matrix_rows.h"

namespace loomgraft {
namespace {

using Json = nlohmann::ordered_json;

// Nine significant digits: more than any meter has, and short.
Json figure(double value) {
  return json_figure(value, 9);
}

const char* key_name(KeyPosition key) {
  constexpr const char* names[] = {"on", "off", "crank"};
  return names[static_cast<int>(key)];
}

const char* side_name(View side) {
  return side == View::mating ? "mating" : side == View::wire_entry ? "wire_entry" : "";
}

Json probe_point_json(const ProbePoint& point) {
  return {{"at", point.at.at},
          {"cavity", point.at.cavity},
          {"side", side_name(point.side)},
          {"text", point.text}};
}

Json test_json(const ProveReport& report, const ProveTest& test) {
  return {{"id", test.id},
          {"kind", name_of(test.kind)},
          {"condition", report.conditions[test.condition].id},
          {"red", end_id(test.red.at)},
          {"black", end_id(test.black.at)},
          {"red_at", probe_point_json(test.red)},
          {"black_at", probe_point_json(test.black)},
          {"clamp", test.clamp},
          {"setting", test.setting},
          {"nominal", figure(test.nominal)},
          {"band", {{"low", figure(test.band.low)}, {"high", figure(test.band.high)}, {"unit", test.unit}}},
          {"minutes", figure(test.minutes)},
          {"access", json_list(test.accesses, [&](std::size_t k) { return report.accesses[k].place; })},
          {"exposes", json_list(test.exposes, [&](std::size_t k) { return report.faults[k].id; })},
          {"text", test.text}};
}

Json condition_json(const ProveCondition& condition) {
  return {{"id", condition.id},
          {"text", condition.text},
          {"live", condition.live},
          {"minutes", figure(condition.minutes)},
          {"unplugged", condition.setup.unplugged},
          {"removed", condition.setup.removed},
          {"key", key_name(condition.setup.key)},
          {"battery_off", condition.setup.battery_off},
          {"worked", condition.setup.worked},
          {"driven", json_list(condition.setup.driven, [](const CavityRef& at) { return end_id(at); })},
          {"jumpers", json_list(condition.jumpers, [](const Jumper& jumper) { return jumper.text; })},
          {"cautions", condition.cautions}};
}

Json fault_json(const Fault& fault) {
  return {{"id", fault.id},
          {"kind", name_of(fault.kind)},
          {"text", fault.text},
          {"repair", fault.repair},
          {"repair_text", fault.repair_text},
          {"prior", figure(fault.prior)},
          {"prior_source", fault.prior_source},
          {"harm", name_of(fault.harm)},
          {"added", fault.added},
          {"matters", fault.matters},
          {"subjects", json_list(fault.subjects, subject_id)},
          {"confirm_subject", tick_subject_of(fault)}};
}

// The faults that share a row, in the order of the table.
Json row_json(const ProveReport& report, const MatrixRow& row) {
  return json_list(row.faults, [&](std::size_t k) { return report.faults[k].id; });
}

Json joint_json(const JointThreshold& joint) {
  return {{"joint", joint.joint},
          {"text", joint.text},
          {"ohms", joint.ohms ? figure(joint.ohms->si) : Json()},
          {"test", joint.test}};
}

Json hazard_json(const OpenHazard& hazard) {
  constexpr const char* sources[] = {"fault", "restraint", "design", "comparison"};
  const char* source = sources[static_cast<int>(hazard.source)];
  return {{"source", source},
          {"id", hazard.id},
          {"text", hazard.text},
          {"look", hazard.look},
          {"confirm_subject", std::string("confirm:") + source + ":" + hazard.id}};
}

Json step_json(const ProveReport& report, std::size_t step) {
  const StepMinutes& minutes = report.steps[step];
  return {{"test", report.tests[report.plan[step]].id},
          {"minutes", figure(minutes.sum())},
          {"setup", figure(minutes.setup)},
          {"access", figure(minutes.access)},
          {"travel", figure(minutes.travel)},
          {"probes", figure(minutes.probes)},
          {"reading", figure(minutes.reading)}};
}

Json steps_json(const ProveReport& report) {
  Json steps = Json::array();
  for (std::size_t step = 0; step < report.steps.size(); ++step) steps.push_back(step_json(report, step));
  return steps;
}

Json curve_json(const ProveReport& report) {
  return json_list(curve_of(report), [&](const PlanMoment& point) {
    return Json{{"minutes", figure(point.minutes)}, {"unproved", figure(point.unproved)},
                {"harmful", figure(point.harmful)}, {"worst", name_of(point.worst)},
                {"worst_count", point.count},       {"worst_text", worst_text(report, point)}};
  });
}

Json budget_json(const std::optional<TimeBudget>& budget) {
  if (!budget) return nullptr;
  return {{"minutes", figure(budget->minutes)},
          {"shown", figure(budget->shown)},
          {"bound", figure(budget->bound)}};
}

Json test_plug_json(const TestPlug& plug) {
  return {{"connector", plug.connector},
          {"text", plug.text},
          {"condition", plug.condition},
          {"used", plug.used},
          {"minutes", figure(plug.minutes)},
          {"resistors", json_list(plug.resistors,
                                  [](const TestPlugResistor& one) {
                                    return Json{{"cavity", one.cavity}, {"ohm", figure(one.ohms.si)}};
                                  })},
          {"parts", plug.parts}};
}

Json access_json(const PlaceAccess& access) {
  return {{"place", access.place}, {"text", access.text}, {"minutes", figure(access.minutes)}};
}

}  // namespace

nlohmann::ordered_json to_json(const ProveReport& report) {
  return {
      {"tests", json_list(report.tests, [&](const ProveTest& test) { return test_json(report, test); })},
      {"plan", json_list(report.plan, [&](std::size_t k) { return report.tests[k].id; })},
      {"steps", steps_json(report)},
      {"curve", curve_json(report)},
      {"budget", budget_json(report.budget)},
      {"plan_minutes", figure(report.plan_minutes)},
      {"bound_minutes", figure(report.bound_minutes)},
      {"optimal", report.optimal},
      {"access", json_list(report.accesses, access_json)},
      {"unexposed", json_list(report.unexposed,
                              [&](const Unexposed& one) {
                                const Fault& fault = report.faults[one.fault];
                                return Json{{"fault", fault.id},
                                            {"text", fault.text},
                                            {"harm", name_of(fault.harm)},
                                            {"why", one.why},
                                            {"remedy", one.remedy}};
                              })},
      {"test_plugs", json_list(report.test_plugs, test_plug_json)},
      {"test_plugs_save", figure(report.test_plugs_save)},
      {"joint_ohms", json_list(report.joints, joint_json)},
      {"matrix", json_list(matrix_rows(report), [&](const MatrixRow& row) { return row_json(report, row); })},
      {"fault_count", faults_that_matter(report)},
      {"conditions", json_list(report.conditions, condition_json)},
      {"faults", json_list(report.faults, fault_json)},
      {"over_range_ohm", report.over_range},
      {"refused", report.refused},
      {"to_confirm", json_list(report.to_confirm, hazard_json)},
      {"assumptions", json_list(report.assumptions,
                                [](const Assumption& item) {
                                  return Json{{"subject", item.subject},
                                              {"quantity", item.quantity},
                                              {"value", item.value},
                                              {"why", item.why}};
                                })},
      {"problems", problems_json(report.problems)}};
}

}  // namespace loomgraft
