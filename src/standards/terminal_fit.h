// Which wires a terminal of some width takes, and what its crimp must stand (data/terminal_fit.csv,
// data/crimp_pull.csv).
//
// Fails   nullptr, or nothing, where no row is near
#pragma once

#include <optional>
#include <string>

#include "units/quantity.h"

namespace loomgraft {

struct TerminalFit {
  Metres width;
  SquareMetres smallest;
  SquareMetres largest;
  std::string source;
  std::string status;
};

// The row within 10 % of the width.
const TerminalFit* terminal_fit(Metres width);

// What one fresh terminal of a width carries in free air, with a wire of this area or the next thinner one listed
// (data/terminal_currents.csv). Nothing where no row is within 10 % of the width.
struct TerminalCurrent {
  Amperes fresh;
  std::string source;
  std::string status;
};
std::optional<TerminalCurrent> terminal_current(Metres width, SquareMetres area);

struct PullForce {
  Newtons smallest;
  std::string source;
  std::string status;
};

// Of the largest row that is not above the area by more than 2 %.
std::optional<PullForce> pull_force(SquareMetres area);

}  // namespace loomgraft
