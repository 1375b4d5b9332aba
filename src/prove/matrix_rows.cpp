#include "prove/matrix_rows.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <string_view>

namespace loomgraft {
namespace {

StepResult result_of(const ProveTest& test, const Reading& reading, double over_range) {
  if (reading.unit == unreached_unit) return StepResult::unreached;
  const bool over = test.unit == "ohm" && reading.value >= over_range;
  if (over) return test.band.high >= over_range ? StepResult::in_band : StepResult::out_of_band;
  const bool inside = reading.value >= test.band.low && reading.value <= test.band.high;
  return inside ? StepResult::in_band : StepResult::out_of_band;
}

bool counts(const ProveTest& test, const Reading& reading) {
  if (reading.unit == unreached_unit) return true;
  return std::isfinite(reading.value) && (reading.unit.empty() || reading.unit == test.unit);
}

}  // namespace

std::vector<MatrixRow> matrix_rows(const ProveReport& report) {
  std::vector<std::vector<std::size_t>> steps(report.faults.size());
  for (std::size_t step = 0; step < report.plan.size(); ++step) {
    for (const std::size_t fault : report.tests[report.plan[step]].exposes) steps[fault].push_back(step);
  }
  std::map<std::vector<std::size_t>, std::vector<std::size_t>> together;
  std::vector<MatrixRow> unexposed;
  for (std::size_t fault = 0; fault < steps.size(); ++fault) {
    if (!report.faults[fault].matters) continue;
    if (steps[fault].empty())
      unexposed.push_back({{}, {fault}});
    else
      together[steps[fault]].push_back(fault);
  }
  std::vector<MatrixRow> rows;
  rows.reserve(together.size() + unexposed.size());
  for (auto& [key, faults] : together) rows.push_back({key, std::move(faults)});
  std::ranges::move(unexposed, std::back_inserter(rows));
  return rows;
}

Harm worst_harm(const ProveReport& report, const MatrixRow& row) {
  Harm worst = Harm::none;
  for (const std::size_t fault : row.faults) worst = std::max(worst, report.faults[fault].harm);
  return worst;
}

std::vector<StepResult> step_results(const ProveReport& report, const std::vector<Reading>& readings) {
  std::map<std::string_view, std::size_t> steps;
  for (std::size_t step = 0; step < report.plan.size(); ++step)
    steps.emplace(report.tests[report.plan[step]].id, step);
  std::vector<StepResult> results(report.plan.size(), StepResult::to_do);
  for (const Reading& reading : readings) {
    const auto at = steps.find(reading.test);
    if (at == steps.end()) continue;
    const ProveTest& test = report.tests[report.plan[at->second]];
    if (counts(test, reading)) results[at->second] = result_of(test, reading, report.over_range);
  }
  return results;
}

}  // namespace loomgraft
