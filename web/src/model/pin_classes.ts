// Electrical classes of a pin as people read them.

import { type PinClass, pin_classes } from "../api_types";

const names: Record<PinClass, string> = {
  unknown: "type not known",
  no_connection: "no connection",
  supply_30: "supply 30 (battery)",
  supply_15: "supply 15 (key)",
  supply_output: "supply output",
  power_earth: "power earth",
  sensor_earth: "sensor earth",
  reference_5v: "5 V reference",
  low_side_driver: "low-side driver",
  high_side_driver: "high-side driver",
  push_pull: "push-pull output",
  ignition_trigger: "ignition trigger",
  injector: "injector output",
  switch_to_earth_input: "input, switch to earth",
  switch_to_supply_input: "input, switch to supply",
  voltage_input: "voltage input",
  thermistor_input: "thermistor input",
  variable_reluctance: "variable-reluctance sensor input",
  digital_sensor_input: "digital sensor input",
  knock: "knock sensor input",
  oxygen_sensor: "oxygen sensor input",
  serial_line: "serial line",
  can_high: "CAN high",
  can_low: "CAN low",
  shield: "shield",
};

export const class_text = (pin_class: PinClass | undefined): string => names[pin_class ?? "unknown"];

export const class_choices = pin_classes.map((name) => [name, names[name]] as const);
