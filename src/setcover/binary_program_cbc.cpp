// Branch and cut by the CBC library (COIN-OR).
#include <coin/Cbc_C_Interface.h>

#include <limits>
#include <memory>
#include <string>

#include "setcover/binary_program.h"

namespace loomgraft {
namespace {

struct DeleteModel {
  void operator()(Cbc_Model* model) const { Cbc_deleteModel(model); }
};
using Model = std::unique_ptr<Cbc_Model, DeleteModel>;

Model load(const BinaryProgram& program, const BinarySearchLimits& limits) {
  const std::size_t columns = program.cost.size();
  const std::vector<CoinBigIndex> starts(program.starts.begin(), program.starts.end());
  const std::vector<int> rows(program.rows.begin(), program.rows.end());
  const std::vector<double> lower(columns, 0.0);
  const std::vector<double> upper(columns, 1.0);
  const std::vector<double> row_upper(program.row_lower.size(), std::numeric_limits<double>::max());
  Model model(Cbc_newModel());
  Cbc_setParameter(model.get(), "log", "0");
  Cbc_setLogLevel(model.get(), 0);
  Cbc_loadProblem(model.get(), static_cast<int>(columns), static_cast<int>(program.row_lower.size()),
                  starts.data(), rows.data(), program.values.data(), lower.data(), upper.data(),
                  program.cost.data(), program.row_lower.data(), row_upper.data());
  Cbc_setObjSense(model.get(), 1.0);
  for (std::size_t column = 0; column < columns; ++column)
    Cbc_setInteger(model.get(), static_cast<int>(column));
  Cbc_setParameter(model.get(), "maxNodes", std::to_string(limits.nodes).c_str());
  if (limits.gap > 0) Cbc_setParameter(model.get(), "ratioGap", std::to_string(limits.gap).c_str());
  return model;
}

void set_start(Cbc_Model* model, const std::vector<bool>& start) {
  std::vector<int> numbers;
  std::vector<double> values;
  for (std::size_t column = 0; column < start.size(); ++column) {
    numbers.push_back(static_cast<int>(column));
    values.push_back(start[column] ? 1.0 : 0.0);
  }
  Cbc_setMIPStartI(model, static_cast<int>(numbers.size()), numbers.data(), values.data());
}

}  // namespace

BinaryAnswer minimise(const BinaryProgram& program, const std::vector<bool>& start,
                      const BinarySearchLimits& limits) {
  const Model model = load(program, limits);
  set_start(model.get(), start);
  Cbc_solve(model.get());
  BinaryAnswer answer;
  answer.bound = Cbc_getBestPossibleObjValue(model.get());
  answer.optimal = Cbc_isProvenOptimal(model.get()) != 0;
  if (const double* values = Cbc_bestSolution(model.get())) {
    for (std::size_t column = 0; column < program.cost.size(); ++column)
      answer.chosen.push_back(values[column] > 0.5);
  }
  return answer;
}

}  // namespace loomgraft
