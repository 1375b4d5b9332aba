// Minimise a linear cost over variables that are 0 or 1: the only thing that a test plan asks of a solver library.
//
// Model   minimise sum cost[j] x[j] subject to A x >= row_lower, x[j] in {0, 1}; A by columns
// Needs   a feasible start
// Gives   the best choice found, or none better than the start; a bound below which no choice can be; whether
//         the choice is proven optimal. The search stops after a number of nodes, never by the clock: the same
//         program gives the same answer.
// Fails   never: a build without a solver library gives the start back with the bound 0
// Method  binary_program_cbc.cpp is the only file that knows the library. To use another, or none, replace it.
#pragma once

#include <cstddef>
#include <vector>

namespace loomgraft {

struct BinaryProgram {
  std::vector<double> cost;            // by column
  std::vector<std::size_t> starts{0};  // of each column's entries; one more than there are columns
  std::vector<std::size_t> rows;       // of the entries
  std::vector<double> values;          // of the entries
  std::vector<double> row_lower;       // by row
};

struct BinarySearchLimits {
  int nodes = 0;     // of the branch and cut search
  double gap = 0.0;  // stop at this share above the bound; 0 searches on for proof
};

struct BinaryAnswer {
  std::vector<bool> chosen;  // by column; empty where nothing was found
  double bound = 0.0;
  bool optimal = false;
};

BinaryAnswer minimise(const BinaryProgram& program, const std::vector<bool>& start,
                      const BinarySearchLimits& limits);

}  // namespace loomgraft
