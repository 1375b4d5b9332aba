// Kinds of devices with their terminals, models of each kind, and families of fuses, as published with the program.

import kinds from "../../../data/device_kinds.csv";
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
import families from "../../../data/fuse_families.csv";
import { cells_of } from "./csv";

export interface DeviceKind {
  name: string; // in the document
  text: string;
  terminals: readonly string[];
  symbol: string; // of the diagram
}

const body = (published: string): string[][] => cells_of(published, ",").slice(1);

export const device_kinds: readonly DeviceKind[] = body(kinds)
  .filter(([name]) => name)
  .map(([name = "", text = "", , terminals = "", symbol = ""]) => ({ name, text, terminals: terminals.split(" "), symbol }));

const kind_by_name = new Map(device_kinds.map((kind) => [kind.name, kind]));

export const kind_of = (name: string | undefined): DeviceKind | undefined => kind_by_name.get(name ?? "");

const files = [injectors, lamps, leds, motors, potentiometers, power, relays, sensors, switches, thermistors, valves];

export interface DeviceModel {
  name: string;
  kind: string;
  text: string;
}

const with_name = (rows: string[][]): DeviceModel[] =>
  rows.map(([name = "", kind = "", text = ""]) => ({ name, kind, text })).filter(({ name }) => name !== "" && name !== "default");

const unique = (models: DeviceModel[]): DeviceModel[] => [...new Map(models.map((one) => [one.name, one])).values()];

export const fuse_families: readonly DeviceModel[] = body(families)
  .filter(([name]) => name)
  .map(([name = "", text = ""]) => ({ name, kind: "fuse", text }));

export const device_models: readonly DeviceModel[] = [...unique(with_name(files.flatMap(body))), ...fuse_families];

export const kind_text = (name: string): string => kind_of(name)?.text ?? name;

export const is_fuse = (kind: string | undefined): boolean => kind === "fuse" || kind === "fusible_link";
