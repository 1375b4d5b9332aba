// The order of parts, groups and wires from top to bottom, for few crossings.
//
// Model   go round the edge of a channel: down its left side, up its right. Two legs in it must cross once if
//         their ends alternate on that way round, and need not cross otherwise. diagram/place.h reaches this
//         number, so it is the number of crossings of the drawing.
// Needs   a DiagramNet whose columns name each part once
// Gives   the same net with new orders: bands stay in theirs (above, middle, below), fixed groups in their
//         order; never more crossings than before. Same input, same order.
// Cost    sweeps are n log n; a pass of exchanges is, for each column, ports times legs
// Method  barycentre sweeps (Sugiyama, Tagawa and Toda 1981), then sifting (Matuszewski, Schoenfeld and
//         Molitor 1999) of parts, groups and wires until nothing gets better; then again from the best order,
//         perturbed by fixed pseudo-random numbers. Small nets are searched in full.
#pragma once

#include <cstddef>

#include "diagram/net.h"

namespace loomgraft::diagram {

struct OrderOptions {
  int sweeps = 8;
  int passes = 8;                       // of sifting, at most
  int starts = 8;                       // other first orders to sweep from; fewer in large nets
  int perturbations = 24;               // new starts from a perturbed best order; fewer in large nets
  std::size_t exhaustive_below = 3000;  // orders; a net with fewer is searched in full
};

std::size_t count_crossings(const DiagramNet& net);

// Returns the number of crossings reached; `proven` is set where no order has fewer.
struct OrderResult {
  std::size_t crossings = 0;
  bool proven = false;
};
OrderResult order_net(DiagramNet& net, const OrderOptions& options = {});

}  // namespace loomgraft::diagram
