// The states of a pin class with what widens them in the worst case: loads cold or stalled, a bus with one
// termination, a module whose rail is not yet up (data/contention_corners.csv), and what a load's name says
// of it (data/load_corners.csv).
//
// Model   the states of standards/pin_states.h, some with a wider range, and further ones. A state marked
//         `inrush` lasts for parts of a second: a driver can fail by it, wires and fuses do not.
// Gives   the corners of resistance that contention is judged in
// Fails   a malformed data file is a bug: std::logic_error
#pragma once

#include <string_view>
#include <vector>

#include "standards/pin_states.h"

namespace loomgraft {

struct CornerState {
  PinState state;
  bool inrush = false;
};

struct CornerModel {
  PinRatings ratings;
  std::vector<CornerState> states;
};

const CornerModel& corner_model(PinClass pin_class, PinSide side, SystemVolts system);

// A load by its name: "starter solenoid", "lamp". 0 to load_count() - 1, or -1 where the text names none.
int named_load(std::string_view text);
int load_count();

// A load's wire where its name tells what it leads to: the class's states with the resistance of that load.
CornerModel load_model(PinClass pin_class, int load, SystemVolts system);

}  // namespace loomgraft
