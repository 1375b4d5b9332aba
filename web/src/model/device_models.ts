// The catalogue of devices (data/devices/*.csv): models by kind, for choosing one by search.

import injectors from "../../../data/devices/injectors.csv";
import lamps from "../../../data/devices/lamps.csv";
import leds from "../../../data/devices/leds.csv";
import motors from "../../../data/devices/motors.csv";
import potentiometers from "../../../data/devices/potentiometers.csv";
import power from "../../../data/devices/power.csv";
import relays from "../../../data/devices/relays.csv";
import sensors from "../../../data/devices/sensors.csv";
import switches from "../../../data/devices/switches.csv";
import thermistors from "../../../data/devices/thermistors.csv";
import valves from "../../../data/devices/valves.csv";

const tables = [injectors, lamps, leds, motors, potentiometers, power, relays, sensors, switches, thermistors, valves];

// Only the first columns are read, and none of them holds a quoted comma before the kind.
const entries = tables.flatMap((table) =>
  table
    .trim()
    .split("\n")
    .slice(1)
    .map((line) => line.split(","))
    .filter((cells) => cells[0] !== "default")
    .map((cells) => `${cells[1]}\n${cells[0]}`),
);

const models = [...new Set(entries)].map((entry) => entry.split("\n"));

export const models_of = (kind: string): string[] => models.filter(([of]) => of === kind).map(([, name]) => name ?? "");
