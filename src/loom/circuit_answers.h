// Answers of people about pairs of pins: the same circuit, or not.
//
// Model   between two modules a pin is the same circuit as at most one pin; the first answer counts
// Gives   the usable answers between two modules, by position of their pins; each unusable one as a Problem with
//         its pointer
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

#include "base/problem.h"
#include "loom/graft.h"

namespace loomgraft {

struct PinPair {
  std::size_t found = 0;  // position in the module's pins
  std::size_t donor = 0;
  auto operator<=>(const PinPair&) const = default;
};

struct PairAnswers {
  std::vector<PinPair> same;
  std::vector<PinPair> different;

  bool empty() const { return same.empty() && different.empty(); }
};

PairAnswers answers_between(const Graft& graft, const Module& found, const Module& donor);

// no-such-pin, one-module, circuit-answered-twice, circuit-paired-twice.
Problems check_circuit_answers(const Graft& graft);

}  // namespace loomgraft
