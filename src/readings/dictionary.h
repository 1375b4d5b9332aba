// What a meter shows under every fault: many tests, many changes of one network, one factorisation.
//
// Model   a linear network under one change is a rank-one (or low-rank) update. Diodes, limited sources and
//         relays stay on the piece of the healthy solution; a change that would move any of them to another
//         piece is computed again. Opened branches are computed in a form that keeps every digit.
// Needs   a network that has a solution; tests between its nodes
// Gives   volts: what a 10 MΩ meter shows. ohms: the resistance between the probes with sources as they are
//         (for dead networks), leads not counted. amperes: through a clamped branch, nothing inserted. The
//         same readings as changed() and solve() with the meter in place, to 1e-7 (floor 1 mV, 1 mΩ, 1 mA)
// Fails   a change without an operating point gives NaN for its readings, never a wrong figure. `stopped` if
//         `stop` asks for it: the readings handed out until then are incomplete
// Cost    one solve per test, a few operations per pair; readings are handed out in blocks and not kept
// Method  docs/engine-faults.md
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <span>
#include <tl/expected.hpp>
#include <vector>

#include "base/stop.h"
#include "network/faults.h"
#include "network/loom_network.h"

namespace loomgraft {

struct DictionaryTest {
  MeterKind kind = MeterKind::volts;
  NodeId red;
  NodeId black;
  std::size_t clamp = 0;  // branch, for amperes
};

// Of one test: the healthy reading and that under each change, in the order given.
using TakeReadings =
    std::function<void(std::size_t test, double healthy, std::span<const double> under_changes)>;

struct DictionaryCount {
  std::size_t by_update = 0;
  std::size_t by_full_solve = 0;
};

tl::expected<DictionaryCount, Problem> fault_dictionary(const LoomNetwork& network,
                                                        std::span<const DictionaryTest> tests,
                                                        std::span<const NetworkChange> changes,
                                                        const TakeReadings& take, const StopToken& stop = {});

// The widest readings of a healthy loom: every branch between `low` and `high`, networks of the same shape
// (such as network_of() of the strongest and the weakest corner).
struct ReadingSpan {
  double nominal = 0.0;
  double low = 0.0;
  double high = 0.0;
};
tl::expected<std::vector<ReadingSpan>, Problem> reading_spans(const LoomNetwork& nominal,
                                                              const LoomNetwork& low, const LoomNetwork& high,
                                                              std::span<const DictionaryTest> tests,
                                                              const StopToken& stop = {});

}  // namespace loomgraft
