// The rule sets that a job can follow, as published with the program.

import commercial from "../../../data/rules/commercial_24v.json";
import marine from "../../../data/rules/marine.json";
import passenger from "../../../data/rules/passenger_vehicle.json";

export const rule_sets: readonly { name: string; text: string }[] = [passenger, commercial, marine].map(({ name, text }) => ({
  name,
  text,
}));
