// The cover as a program of 0-1 variables: one for each test, one for each set-up, and a test needs its set-ups.
// With set-ups as variables of their own the linear relaxation shares their minutes among tests, so its bound is
// close and few nodes are searched.
#include <algorithm>

#include "setcover/binary_program.h"
#include "setcover/cover_internal.h"

namespace loomgraft::setcover {
namespace {

// Columns: tests, then set-ups. Rows: one for each fault, then one for each set-up of a test that costs anything:
// set-up - test >= 0.
BinaryProgram program_of(const CoverProblem& problem) {
  BinaryProgram made;
  const auto entry = [&](std::size_t row, double value) {
    made.rows.push_back(row);
    made.values.push_back(value);
  };
  const auto close_column = [&](double minutes) {
    made.starts.push_back(made.rows.size());
    made.cost.push_back(minutes);
  };
  std::vector<std::vector<std::size_t>> links(problem.setup_minutes.size());
  std::size_t row = problem.faults;
  for (const CoverTest& test : problem.tests) {
    for (const std::uint32_t fault : test.exposes) entry(fault, 1.0);
    for (const std::uint32_t setup : test.setups) {
      if (problem.setup_minutes[setup] <= 0.0) continue;
      links[setup].push_back(row);
      entry(row++, -1.0);
    }
    close_column(test.minutes);
  }
  for (std::size_t setup = 0; setup < links.size(); ++setup) {
    for (const std::size_t link : links[setup]) entry(link, 1.0);
    close_column(problem.setup_minutes[setup]);
  }
  made.row_lower.assign(row, 0.0);
  std::fill_n(made.row_lower.begin(), problem.faults, 1.0);
  return made;
}

std::vector<bool> columns_of(const CoverProblem& problem, const std::vector<std::size_t>& chosen) {
  std::vector<bool> columns(problem.tests.size() + problem.setup_minutes.size());
  for (const std::size_t test : chosen) {
    columns[test] = true;
    for (const std::uint32_t setup : problem.tests[test].setups) columns[problem.tests.size() + setup] = true;
  }
  return columns;
}

bool exposes_all(const CoverProblem& problem, const std::vector<std::size_t>& chosen) {
  std::vector<bool> exposed(problem.faults);
  for (const std::size_t test : chosen) {
    for (const std::uint32_t fault : problem.tests[test].exposes) exposed[fault] = true;
  }
  return std::ranges::all_of(exposed, [](bool yes) { return yes; });
}

}  // namespace

CoverSearch cover_search(const CoverProblem& problem, const std::vector<std::size_t>& start,
                         const CoverOptions& options) {
  CoverSearch found{start, 0.0, false};
  const BinaryAnswer answer =
      minimise(program_of(problem), columns_of(problem, start), {options.nodes, options.good_enough});
  std::vector<std::size_t> chosen;
  for (std::size_t test = 0; test < std::min(problem.tests.size(), answer.chosen.size()); ++test) {
    if (answer.chosen[test]) chosen.push_back(test);
  }
  const bool usable = !chosen.empty() && exposes_all(problem, chosen);
  constexpr double rounding = 1e-9;
  if (usable && minutes_of(problem, chosen) < minutes_of(problem, start) - rounding) found.tests = chosen;
  const double minutes = minutes_of(problem, found.tests);
  found.bound = std::clamp(answer.bound, 0.0, minutes);
  constexpr double tolerance = 1e-6;  // minutes, within which the solver proves
  found.optimal = options.good_enough == 0 && answer.optimal && usable &&
                  minutes_of(problem, chosen) >= minutes - tolerance;
  return found;
}

}  // namespace loomgraft::setcover
