// The error of a meter's display (data/meters.csv).
//
// Model   ranges chosen by the meter itself: the smallest that contains the reading; an error is so many percent
//         of the reading and so many counts of that range. Leads are zeroed before work; what then changes
//         between two touches counts in ohms. Beyond the highest range of ohms the meter shows over range.
// Gives   errors and counts in the unit of the quantity; the handheld meter for an empty name
// Fails   nullptr for a name that no meter has
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace loomgraft {

// Quiet volts: across a fuse of a vehicle asleep, where nothing else flows.
enum class MeterQuantity { ohms, volts, amperes, quiet_volts };

struct MeterRange {
  double up_to = 0.0;
  double count = 0.0;
  double share = 0.0;  // of the reading
  double counts = 0.0;
  std::string source;
};

struct MeterSheet {
  std::string name;
  std::string text;
  std::vector<MeterRange> ohms, volts, amperes;  // rising
  double leads = 0.0;                            // ohms by which two touches differ
  double noise = 0.0;                            // volts by which a live vehicle makes a reading unsteady
};

const MeterSheet* meter_sheet(std::string_view name);
std::vector<std::string> meter_names();

const MeterRange& range_for(const MeterSheet& meter, MeterQuantity quantity, double reading);
double error_at(const MeterSheet& meter, MeterQuantity quantity, double reading);
// In a range that was looked up.
double error_in(const MeterSheet& meter, MeterQuantity quantity, const MeterRange& range, double reading);
// One digit of the display at this reading.
double count_at(const MeterSheet& meter, MeterQuantity quantity, double reading);
// Above this a meter in ohms shows that it cannot measure.
double over_range_of(const MeterSheet& meter);

}  // namespace loomgraft
