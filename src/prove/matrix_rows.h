// The test plan as a table: faults down, steps across, in the order that drawing and page share.
//
// Model   a row for each fault, or for several that the same steps expose. Rows follow the first step that
//         exposes them, so that the marks run down the diagonal; faults that no step exposes come last, each
//         in a row of its own
// Gives   every fault of the report that matters in one row; what the latest reading of each step says of it
// Fails   never: a report without a plan gives the rows that nothing exposes
// Cost    a sort of faults by their steps
#pragma once

#include <vector>

#include "loom/graft.h"
#include "prove/prove.h"

namespace loomgraft {

struct MatrixRow {
  std::vector<std::size_t> steps;   // of the plan, from 0
  std::vector<std::size_t> faults;  // at least one
};

std::vector<MatrixRow> matrix_rows(const ProveReport& report);

Harm worst_harm(const ProveReport& report, const MatrixRow& row);

enum class StepResult { to_do, in_band, out_of_band, unreached };

// One for each step of the plan. Of several readings of one test the last in the list counts; a reading in
// another unit, or of no number, does not.
std::vector<StepResult> step_results(const ProveReport& report, const std::vector<Reading>& readings);

}  // namespace loomgraft
