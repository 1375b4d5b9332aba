// Which step of a test plan exposes which fault.
//
// Model   a row for each fault, or for several that the same steps expose; a column for each step of the plan
//         in the order of work. A filled square: exposed. Rows follow the first step that exposes them, so
//         that what is proved runs down the diagonal; what no test exposes stands last, marked by a word.
//         Lengths on the sheet are millimetres
// Gives   one SVG document without scripts, links or fonts from elsewhere, in black and white; states of the
//         job stand over their steps, dead ones first; every row and column has its words. Same input, same
//         bytes
// Fails   never: a report without a plan gives the rows that nothing exposes
// Cost    linear in squares
#pragma once

#include <string>

#include "prove/prove.h"

namespace loomgraft {

struct MatrixOptions {
  double names_mm = 90.0;  // room for the words of a fault, between 40 and 200
};

std::string draw_matrix(const ProveReport& report, const MatrixOptions& options = {});

}  // namespace loomgraft
