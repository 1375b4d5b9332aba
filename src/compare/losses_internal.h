// What the vehicle cannot do any more when a wire is taken out. Only compare/ includes this file.
#pragma once

#include <optional>

#include "compare/compare.h"

namespace loomgraft::compare {

// Nothing for feeds, earths, references and screens: they served the old module, and carry no function.
// Where sources disagree, the worst of what they claim.
std::optional<Loss> loss_of(const Pin& found);

}  // namespace loomgraft::compare
