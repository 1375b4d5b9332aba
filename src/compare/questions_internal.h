// Questions that only a person can answer. Only compare/ includes this file.
#pragma once

#include "compare/compare.h"
#include "loom/graft.h"

namespace loomgraft::compare {

struct CircuitFacts {
  const CircuitReport& report;
  const Pin* found = nullptr;
  const Pin* donor = nullptr;
  const std::vector<Source>& sources;  // of the graft, for their titles
  bool donor_cavity_unknown =
      false;  // the donor's table does not mention the cavity that this wire would meet
};

// Questions about one circuit, most weighty first.
void ask_about_circuit(const CircuitFacts& facts, const ContentionOptions& options,
                       std::vector<Question>& questions);

// Questions about a pair of plugs that stand in each other's place.
void ask_about_plugs(const Connector& found, const Connector& donor, const Module& found_module,
                     const Module& donor_module, bool guessed, std::vector<Question>& questions);

}  // namespace loomgraft::compare
