// Branch and cut by CBC. A set-up is a variable of its own, and a test needs its set-ups.
#include <coin/Cbc_C_Interface.h>

#include <algorithm>
#include <limits>
#include <memory>

#include "prove/cover_internal.h"

namespace loomgraft::prove {
namespace {

// A programme by columns, as CBC takes it: tests first, then set-ups.
struct Programme {
  std::vector<CoinBigIndex> starts{0};
  std::vector<int> rows;
  std::vector<double> values;
  std::vector<double> lower, upper, cost;
  std::vector<double> row_lower, row_upper;

  void close_column(double minutes) {
    starts.push_back(static_cast<CoinBigIndex>(rows.size()));
    lower.push_back(0.0);
    upper.push_back(1.0);
    cost.push_back(minutes);
  }
  void entry(std::size_t row, double value) {
    rows.push_back(static_cast<int>(row));
    values.push_back(value);
  }
};

// Rows: one for each fault, then one for each set-up of a test that costs anything: set-up - test >= 0.
Programme programme_of(const CoverProblem& problem) {
  Programme made;
  const double infinity = std::numeric_limits<double>::max();
  std::vector<std::vector<std::size_t>> links(problem.setup_minutes.size());
  std::size_t row = problem.faults;
  for (const CoverTest& test : problem.tests) {
    for (const std::uint32_t fault : test.exposes) made.entry(fault, 1.0);
    for (const std::uint32_t setup : test.setups) {
      if (problem.setup_minutes[setup] <= 0.0) continue;
      links[setup].push_back(row);
      made.entry(row++, -1.0);
    }
    made.close_column(test.minutes);
  }
  for (std::size_t setup = 0; setup < links.size(); ++setup) {
    for (const std::size_t link : links[setup]) made.entry(link, 1.0);
    made.close_column(problem.setup_minutes[setup]);
  }
  made.row_lower.assign(row, 0.0);
  std::fill_n(made.row_lower.begin(), problem.faults, 1.0);
  made.row_upper.assign(row, infinity);
  return made;
}

struct DeleteModel {
  void operator()(Cbc_Model* model) const { Cbc_deleteModel(model); }
};
using Model = std::unique_ptr<Cbc_Model, DeleteModel>;

Model load(const Programme& programme, const CoverOptions& options) {
  Model model(Cbc_newModel());
  Cbc_setParameter(model.get(), "log", "0");
  Cbc_setLogLevel(model.get(), 0);
  const int columns = static_cast<int>(programme.cost.size());
  const int rows = static_cast<int>(programme.row_lower.size());
  Cbc_loadProblem(model.get(), columns, rows, programme.starts.data(), programme.rows.data(),
                  programme.values.data(), programme.lower.data(), programme.upper.data(),
                  programme.cost.data(), programme.row_lower.data(), programme.row_upper.data());
  Cbc_setObjSense(model.get(), 1.0);
  for (int column = 0; column < columns; ++column) Cbc_setInteger(model.get(), column);
  Cbc_setParameter(model.get(), "maxNodes", std::to_string(options.nodes).c_str());
  if (options.good_enough > 0)
    Cbc_setParameter(model.get(), "ratioGap", std::to_string(options.good_enough).c_str());
  return model;
}

void set_start(Cbc_Model* model, const CoverProblem& problem, const std::vector<std::size_t>& start) {
  const std::size_t columns = problem.tests.size() + problem.setup_minutes.size();
  std::vector<double> values(columns, 0.0);
  for (const std::size_t test : start) {
    values[test] = 1.0;
    for (const std::uint32_t setup : problem.tests[test].setups) values[problem.tests.size() + setup] = 1.0;
  }
  std::vector<int> numbers(columns);
  for (std::size_t k = 0; k < columns; ++k) numbers[k] = static_cast<int>(k);
  Cbc_setMIPStartI(model, static_cast<int>(columns), numbers.data(), values.data());
}

bool exposes_all(const CoverProblem& problem, const std::vector<std::size_t>& chosen) {
  std::vector<bool> exposed(problem.faults);
  for (const std::size_t test : chosen) {
    for (const std::uint32_t fault : problem.tests[test].exposes) exposed[fault] = true;
  }
  return std::ranges::all_of(exposed, [](bool yes) { return yes; });
}

std::vector<std::size_t> solution_of(Cbc_Model* model, const CoverProblem& problem) {
  std::vector<std::size_t> chosen;
  const double* values = Cbc_bestSolution(model);
  if (values == nullptr) return chosen;
  for (std::size_t test = 0; test < problem.tests.size(); ++test) {
    if (values[test] > 0.5) chosen.push_back(test);
  }
  return chosen;
}

}  // namespace

CoverSearch cover_search(const CoverProblem& problem, const std::vector<std::size_t>& start,
                         const CoverOptions& options) {
  CoverSearch found{start, 0.0, false};
  const Programme programme = programme_of(problem);
  const Model model = load(programme, options);
  set_start(model.get(), problem, start);
  Cbc_solve(model.get());
  const std::vector<std::size_t> chosen = solution_of(model.get(), problem);
  const bool usable = !chosen.empty() && exposes_all(problem, chosen);
  constexpr double rounding = 1e-9;
  if (usable && minutes_of(problem, chosen) < minutes_of(problem, start) - rounding) found.tests = chosen;
  const double minutes = minutes_of(problem, found.tests);
  found.bound = std::clamp(Cbc_getBestPossibleObjValue(model.get()), 0.0, minutes);
  constexpr double proof = 1e-6;  // minutes: CBC's own tolerance
  found.optimal = options.good_enough == 0 && Cbc_isProvenOptimal(model.get()) != 0 && usable &&
                  minutes_of(problem, chosen) >= minutes - proof;
  return found;
}

}  // namespace loomgraft::prove
