// A question answered: what a person has seen or measured becomes the pin's fact, marked as proved.

import type { Claim, Json, PatchStep, Pin } from "../api_types";
import type { PinPlace } from "./document";

const json = (value: unknown) => value as Json;

function set(at: string, pin: Pin, member: keyof Pin, value: Json | undefined): PatchStep[] {
  const path = `${at}/${member}`;
  if (value !== undefined) return [{ op: "add", path, value }];
  return pin[member] === undefined ? [] : [{ op: "remove", path }];
}

const tests = (place: PinPlace): PatchStep[] => place.test.map(({ path, value }) => ({ op: "test", path, value }));

// The claim that turned out right: the pin says what it says.
export function prove_claim(place: PinPlace, claim: Claim): PatchStep[] {
  const { at, pin } = place;
  const claims = (pin.claims ?? []).map((one) => {
    const { proved: _, ...rest } = one;
    return one === claim ? { ...rest, proved: true } : rest;
  });
  return [
    ...tests(place),
    ...(claim.signal ? set(at, pin, "signal", claim.signal) : []),
    ...(claim.class && claim.class !== "unknown" ? set(at, pin, "class", claim.class) : []),
    ...(claim.colour ? set(at, pin, "colour", json(claim.colour)) : []),
    ...set(at, pin, "claims", json(claims)),
    ...set(at, pin, "doubts", undefined),
  ];
}

// What was found by looking, where no source is right.
export function state_fact(place: PinPlace, fact: { signal?: string; class?: string }): PatchStep[] {
  const { at, pin } = place;
  const claim: Claim = { signal: fact.signal ?? pin.signal ?? "", class: fact.class ?? pin.class ?? "unknown", proved: true };
  if (pin.colour) claim.colour = pin.colour;
  const before = (pin.claims ?? []).map(({ proved: _, ...rest }) => rest);
  return [
    ...tests(place),
    ...(fact.signal === undefined ? [] : set(at, pin, "signal", fact.signal)),
    ...(fact.class === undefined ? [] : set(at, pin, "class", fact.class)),
    ...set(at, pin, "claims", json([...before, claim])),
    ...set(at, pin, "doubts", undefined),
  ];
}

export const pin_kinds: readonly string[] = [
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
  "shield",
];

export const kind_words = (kind: string | undefined): string =>
  !kind || kind === "unknown" ? "kind not known" : kind.replace("30", "30 (battery)").replace("15", "15 (key)").replace(/_/g, " ");
