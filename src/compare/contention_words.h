// The sentence and the limit of a finding, in trade words.
#pragma once

#include "compare/contention_pair.h"

namespace loomgraft {

Contention in_words(const Finding& finding, const PinModel& loom, const PinModel& pin, bool matched);

}  // namespace loomgraft
