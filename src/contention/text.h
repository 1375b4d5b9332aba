// The sentence and the limit of a finding, in trade words.
#pragma once

#include "contention/pair.h"

namespace loomgraft::contention {

Contention in_words(const Finding& finding, const PinModel& loom, const PinModel& pin, bool matched);

}  // namespace loomgraft::contention
