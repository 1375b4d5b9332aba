// Default values of a network: joints, battery, leakage, temperatures (data/network_figures.csv).
//
// Gives   figures by name: contact_ohm, splice_ohm, earth_joint_ohm, body_ohm, battery_ohm, leakage_ohm,
//         running_v, working_v, resting_v, cranking_v, ambient_c, engine_bay_c, wire_length_m, wire_mm2,
//         meter_shunt_ohm, crimp_ohm; of faults bad_joint_ohm, touch_ohm, input_shift_v; for 12 V and 24 V
//         systems. Of judgements, the same for both: parts_differ_share, module_volts_share, apart_ohm,
//         jumper_fuse_a, jumper_works_a, dead_short_ohm, back_feed_a, clamp_sees_a
// Fails   an unknown name is a bug: std::logic_error
#pragma once

#include <string_view>

#include "standards/figure.h"
#include "standards/pin_states.h"

namespace loomgraft {

const Figure& network_figure(std::string_view name, SystemVolts system);
// The middle of a figure that is the same at 12 V and at 24 V.
double default_figure(std::string_view name);

}  // namespace loomgraft
