// The electrical kinds of module pins. What each kind does electrically stands in data/pin_classes.csv.
#pragma once

#include <array>
#include <optional>
#include <string_view>

namespace loomgraft {

enum class PinClass {
  unknown,
  no_connection,
  supply_30,      // unswitched battery feed into the module (DIN 72552 terminal 30)
  supply_15,      // feed switched by the key (terminal 15), and other switched feeds into the module
  supply_output,  // a feed that the module gives out, 12 V or 24 V
  power_earth,
  sensor_earth,
  reference_5v,  // 5 V that the module gives to sensors
  low_side_driver,
  high_side_driver,
  push_pull,  // half or full bridge: motors, two-way outputs
  ignition_trigger,
  injector,
  switch_to_earth_input,
  switch_to_supply_input,
  voltage_input,  // 0 to 5 V
  thermistor_input,
  variable_reluctance,
  digital_sensor_input,
  knock,
  oxygen_sensor,
  serial_line,
  can_high,
  can_low,
  shield,
};

inline constexpr std::array<std::string_view, 25> pin_class_names{"unknown",
                                                                  "no_connection",
                                                                  "supply_30",
                                                                  "supply_15",
                                                                  "supply_output",
                                                                  "power_earth",
                                                                  "sensor_earth",
                                                                  "reference_5v",
                                                                  "low_side_driver",
                                                                  "high_side_driver",
                                                                  "push_pull",
                                                                  "ignition_trigger",
                                                                  "injector",
                                                                  "switch_to_earth_input",
                                                                  "switch_to_supply_input",
                                                                  "voltage_input",
                                                                  "thermistor_input",
                                                                  "variable_reluctance",
                                                                  "digital_sensor_input",
                                                                  "knock",
                                                                  "oxygen_sensor",
                                                                  "serial_line",
                                                                  "can_high",
                                                                  "can_low",
                                                                  "shield"};

constexpr std::string_view name_of(PinClass pin_class) {
  return pin_class_names[static_cast<std::size_t>(pin_class)];
}

constexpr std::optional<PinClass> pin_class_of(std::string_view name) {
  for (std::size_t i = 0; i < pin_class_names.size(); ++i) {
    if (pin_class_names[i] == name) return static_cast<PinClass>(i);
  }
  return std::nullopt;
}

}  // namespace loomgraft
