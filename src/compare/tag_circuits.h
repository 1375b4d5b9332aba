// Circuits of a module that a tag concerns: those of the gearbox, and one circuit looked up by its name.
//
// Gives   pins by their term where they have one, else by words of their names; data/gearbox_terms.csv names
//         the gearbox's
// Fails   never
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "loom/graft.h"

namespace loomgraft::compare {

enum class Gearbox { unknown, manual, automatic };

// Robotised and stepless gearboxes count as automatic: they have a controller that needs signals.
Gearbox read_gearbox(std::string_view text);

struct GearboxCircuits {
  std::vector<std::string> concerned;  // signals of `module` that belong to its gearbox, once each
  std::vector<std::string> missing;    // of these, what `other` has no pin for
};
GearboxCircuits gearbox_circuits(const Module& module, const Module& other, Gearbox gearbox);

// The pin that goes by this signal or term, or null.
const Pin* find_circuit(const Module& module, std::string_view name);

// The pin of the same function as `pin`: the same signal, else the same term. Null if there is none.
const Pin* find_same(const Module& module, const Pin& pin);

}  // namespace loomgraft::compare
