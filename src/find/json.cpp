#include "find/json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "base/json_figures.h"
#include "base/problem_json.h"

namespace loomgraft {
namespace {

using Json = nlohmann::ordered_json;

// Six digits: odds are worth no more, and the same on every machine.
double rounded(double value) {
  return std::round(value * 1e6) / 1e6;
}

Json ids(const std::vector<std::size_t>& faults, const Proof& proof) {
  Json list = Json::array();
  for (const std::size_t fault : faults) list.push_back(proof.report.faults[fault].id);
  return list;
}

}  // namespace

Json to_json(const FindReport& report, const Proof& proof) {
  Json json;
  json["hypotheses"] = json_list(report.hypotheses, [&](const Hypothesis& item) {
    return Json{{"faults", ids(item.faults, proof)}, {"misread", item.misread}, {"odds", rounded(item.odds)}};
  });
  json["repairs"] = json_list(report.repairs, [&](const RepairOdds& item) {
    return Json{{"repair", item.repair},
                {"text", item.text},
                {"odds", rounded(item.odds)},
                {"faults", ids(item.faults, proof)}};
  });
  json["no_fault"] = rounded(report.no_fault);
  json["entropy_bits"] = rounded(report.entropy_bits);
  json["next"] = json_list(report.next, [&](const NextTest& item) {
    return Json{{"test", proof.report.tests[item.test].id},
                {"bits", rounded(item.bits)},
                {"minutes", rounded(item.minutes)},
                {"text", item.text},
                {"reason", name_of(item.reason)}};
  });
  json["isolated"] = report.isolated ? Json(report.repairs[*report.isolated].repair) : Json();
  json["fault_notes"] = json_list(report.fault_notes, [&](const FaultNote& item) {
    return Json{{"fault", proof.report.faults[item.fault].id},
                {"excluded", item.excluded},
                {"odds", rounded(item.odds)},
                {"text", item.text}};
  });
  json["differing"] = json_list(report.differing, [&](const DifferingReadings& item) {
    return Json{{"test", proof.report.tests[item.test].id},
                {"values", item.values},
                {"taken", item.taken ? Json(*item.taken) : Json()},
                {"unsteady", item.unsteady}};
  });
  json["symptoms"] = json_list(report.symptoms, [](const NoticedSymptom& item) {
    return Json{{"id", item.id}, {"text", item.text}};
  });
  json["learnt"] = report.learnt;
  json["problems"] = problems_json(report.problems);
  return json;
}

Json symptoms_json(const std::vector<Symptom>& symptoms, const Proof& proof) {
  return {{"symptoms", json_list(symptoms, [&](const Symptom& one) {
             return Json{{"id", one.id},
                         {"kind", name_of(one.kind)},
                         {"subject", one.subject},
                         {"text", one.text},
                         {"faults", ids(one.faults, proof)}};
           })}};
}

Json practice_json(const std::string& fault, const std::vector<Reading>& readings) {
  return {{"fault", fault},
          {"readings", json_list(readings, [](const Reading& reading) {
             return Json{{"test", reading.test}, {"value", reading.value}, {"unit", reading.unit}};
           })}};
}

}  // namespace loomgraft
