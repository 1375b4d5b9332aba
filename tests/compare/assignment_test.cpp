#include "compare/assignment.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <functional>
#include <limits>
#include <numeric>
#include <random>
#include <set>
#include <sstream>

namespace loomgraft::compare_assignment_test {
namespace {

using namespace loomgraft::compare;

constexpr double forbidden = std::numeric_limits<double>::infinity();

struct Matrix {
  int rows = 0;
  int columns = 0;
  std::vector<double> cost;
};

struct Outcome {
  int pairs = 0;
  double total = 0.0;
};

// Adds up an answer and checks that it is one: columns in range, none twice, none forbidden.
Outcome weigh(const Matrix& matrix, const std::vector<int>& column_of_row) {
  EXPECT_EQ(column_of_row.size(), static_cast<std::size_t>(matrix.rows));
  std::set<int> used;
  Outcome outcome;
  for (int row = 0; row < matrix.rows; ++row) {
    const int column = column_of_row[static_cast<std::size_t>(row)];
    if (column < 0) continue;
    EXPECT_LT(column, matrix.columns);
    EXPECT_TRUE(used.insert(column).second) << "column " << column << " given twice";
    const double cost = matrix.cost[static_cast<std::size_t>(row * matrix.columns + column)];
    EXPECT_TRUE(std::isfinite(cost)) << "forbidden pair " << row << ", " << column;
    ++outcome.pairs;
    outcome.total += cost;
  }
  return outcome;
}

Outcome solve(const Matrix& matrix) {
  return weigh(matrix, assign(matrix.cost, matrix.rows, matrix.columns));
}

// Every way to serve rows from `row` on: most pairs first, then least cost. For tables of a few rows only.
Outcome exhaust(const Matrix& matrix, int row, std::vector<bool>& used) {
  if (row == matrix.rows) return {};
  Outcome best = exhaust(matrix, row + 1, used);
  for (int column = 0; column < matrix.columns; ++column) {
    const double cost = matrix.cost[static_cast<std::size_t>(row * matrix.columns + column)];
    if (used[static_cast<std::size_t>(column)] || !std::isfinite(cost)) continue;
    used[static_cast<std::size_t>(column)] = true;
    Outcome rest = exhaust(matrix, row + 1, used);
    used[static_cast<std::size_t>(column)] = false;
    rest.pairs += 1;
    rest.total += cost;
    if (rest.pairs > best.pairs || (rest.pairs == best.pairs && rest.total < best.total)) best = rest;
  }
  return best;
}

std::vector<Matrix> matrices_for_reference() {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> real(-5.0, 20.0);
  std::uniform_int_distribution<int> whole(0, 4);
  std::vector<Matrix> result;
  const auto add = [&](int rows, int columns, const std::function<double(int, int)>& cost) {
    Matrix matrix{rows, columns, {}};
    for (int r = 0; r < rows; ++r) {
      for (int c = 0; c < columns; ++c) matrix.cost.push_back(cost(r, c));
    }
    result.push_back(std::move(matrix));
  };
  const std::pair<int, int> shapes[] = {{1, 1},   {1, 7},   {7, 1},   {12, 12}, {30, 30},
                                        {20, 45}, {45, 20}, {90, 90}, {60, 130}};
  for (const auto& [rows, columns] : shapes) {
    add(rows, columns, [&](int, int) { return real(random); });
    add(rows, columns, [&](int, int) { return whole(random); });
    add(rows, columns, [](int, int) { return 3.5; });
    add(rows, columns, [](int r, int c) { return static_cast<double>((r + 1) * (c + 1)); });
    // Forbidden pairs, with the diagonal left open so that every row or column can be served.
    add(rows, columns, [&](int r, int c) { return r != c && whole(random) < 3 ? forbidden : real(random); });
    add(rows, columns, [&](int r, int c) { return r != c && whole(random) < 2 ? forbidden : whole(random); });
  }
  return result;
}

constexpr const char* reference_program = R"(
import sys
import numpy
from scipy.optimize import linear_sum_assignment
for line in open(sys.argv[1]):
    numbers = line.split()
    rows, columns = int(numbers[0]), int(numbers[1])
    cost = numpy.array([float(n) for n in numbers[2:]]).reshape(rows, columns)
    r, c = linear_sum_assignment(cost)
    print(repr(float(cost[r, c].sum())))
)";

std::vector<double> ask_reference(const std::vector<Matrix>& matrices) {
  const std::string folder = testing::TempDir();
  const std::string program = folder + "assignment_reference.py";
  const std::string input = folder + "assignment_matrices.txt";
  std::ofstream(program) << reference_program;
  std::ofstream out(input);
  out.precision(17);
  for (const Matrix& matrix : matrices) {
    out << matrix.rows << ' ' << matrix.columns;
    for (const double cost : matrix.cost) out << ' ' << cost;
    out << '\n';
  }
  out.close();
  std::vector<double> totals;
  std::FILE* pipe = popen(("/usr/bin/python3 " + program + " " + input).c_str(), "r");
  double total = 0.0;
  while (pipe != nullptr && std::fscanf(pipe, "%lf", &total) == 1) totals.push_back(total);
  EXPECT_EQ(pclose(pipe), 0);
  return totals;
}

TEST(Assignment, CostsWhatLinearSumAssignmentOfScipyCosts) {
  if (std::system("/usr/bin/python3 -c 'import scipy.optimize' 2>/dev/null") != 0)
    GTEST_SKIP() << "no scipy here";
  const std::vector<Matrix> matrices = matrices_for_reference();
  const std::vector<double> totals = ask_reference(matrices);
  ASSERT_EQ(totals.size(), matrices.size());
  for (std::size_t i = 0; i < matrices.size(); ++i) {
    const Outcome outcome = solve(matrices[i]);
    EXPECT_EQ(outcome.pairs, std::min(matrices[i].rows, matrices[i].columns)) << "matrix " << i;
    EXPECT_NEAR(outcome.total, totals[i], 1e-9) << "matrix " << i;
  }
}

TEST(Assignment, MatchesExhaustionOnSmallTablesWithForbiddenPairs) {
  const bool held = rc::check("most pairs, then least cost", [] {
    Matrix matrix;
    matrix.rows = *rc::gen::inRange(1, 6);
    matrix.columns = *rc::gen::inRange(1, 6);
    for (int i = 0; i < matrix.rows * matrix.columns; ++i) {
      const int value = *rc::gen::inRange(-3, 9);
      matrix.cost.push_back(value > 4 ? forbidden : value);
    }
    std::vector<bool> used(static_cast<std::size_t>(matrix.columns), false);
    const Outcome best = exhaust(matrix, 0, used);
    const Outcome ours = solve(matrix);
    RC_ASSERT(ours.pairs == best.pairs);
    RC_ASSERT(std::abs(ours.total - best.total) < 1e-9);
  });
  EXPECT_TRUE(held);
}

TEST(Assignment, EqualCostsFallToTheLowerColumn) {
  EXPECT_EQ(assign(std::vector<double>(12, 1.0), 3, 4), (std::vector<int>{0, 1, 2}));
  EXPECT_EQ(assign(std::vector<double>(12, 1.0), 4, 3), (std::vector<int>{0, 1, 2, -1}));
}

TEST(Assignment, LeavesARowUnservedRatherThanMakeAForbiddenPair) {
  // Both rows want column 0; column 1 is forbidden to both. The cheaper row gets it, whichever comes first.
  const double table[] = {5.0, forbidden, 2.0, forbidden};
  EXPECT_EQ(assign(table, 2, 2), (std::vector<int>{-1, 0}));
  const double nobody[] = {forbidden, std::nan(""), -forbidden, forbidden};
  EXPECT_EQ(assign(nobody, 2, 2), (std::vector<int>{-1, -1}));
}

TEST(Assignment, StandsOddInput) {
  EXPECT_TRUE(assign({}, 0, 0).empty());
  EXPECT_EQ(assign({}, 2, 0), (std::vector<int>{-1, -1}));
  EXPECT_EQ(assign(std::vector<double>{1.0}, 2, 2), (std::vector<int>{-1, -1})) << "size does not match";
  EXPECT_TRUE(assign({}, -1, 3).empty());
  const double giant = std::numeric_limits<double>::max();
  const double table[] = {giant, -giant, -giant, giant};
  EXPECT_EQ(assign(table, 2, 2), (std::vector<int>{1, 0}));
}

}  // namespace
}  // namespace loomgraft::compare_assignment_test
