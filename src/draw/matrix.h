// Which step of a test plan exposes which fault, as a drawing.
//
// Model   the table of prove/matrix_rows.h: a row for each fault or for several that the same steps expose, a
//         column for each step in the order of work, a mark where the step exposes the fault. The mark's
//         shape shows the result of that step: a filled square nothing yet, a tick in band, a triangle out
//         of band, an empty square not reached. Faults that no test exposes come last, with a note. Lengths
//         on the sheet are millimetres
// Gives   one SVG document without scripts, links or fonts from elsewhere, in black and white; the test
//         conditions are written over their steps, dead ones first; every row and column has a text, and the
//         marks in use a legend. Same input, same bytes
// Fails   never: a report without a plan gives the rows that nothing exposes
// Cost    linear in marks
#pragma once

#include <string>
#include <vector>

#include "prove/prove.h"

namespace loomgraft {

struct MatrixOptions {
  double names_mm = 90.0;         // width for the text of a fault, between 40 and 200
  std::vector<Reading> readings;  // taken so far
};

std::string draw_matrix(const ProveReport& report, const MatrixOptions& options = {});

}  // namespace loomgraft
