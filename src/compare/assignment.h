// Assignment of rows to columns with the smallest total cost.
//
// Model   a table of costs, row-major; each row takes at most one column and each column at most one row.
//         A cost that is not finite (infinity, not-a-number) forbids the pair.
// Gives   the column of each row, or -1. As many pairs as possible are made, and of all ways to make that
//         many the one with the least total cost. For the greatest total of a table of merits, hand in their
//         negatives. Equal costs fall to the lower column: the same answer on every machine.
// Fails   never: rows that cannot be served stay at -1; a table of another size than rows x columns gives
//         -1 throughout
// Cost    O(n^2 m) for n = min(rows, columns), m = max(rows, columns); memory O(n m)
// Method  shortest augmenting paths with dual prices. R. Jonker, A. Volgenant: A shortest augmenting path
//         algorithm for dense and sparse linear assignment problems. Computing 38 (1987), 325-340, without
//         the reduction phases.
#pragma once

#include <span>
#include <vector>

namespace loomgraft::compare {

std::vector<int> assign(std::span<const double> cost, int rows, int columns);

}  // namespace loomgraft::compare
