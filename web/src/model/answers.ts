// A question answered: what a person has seen or measured becomes the pin's fact, marked as proved.

import type { CavityRef, CircuitAnswer, Claim, Graft, Json, Module, PatchStep, Pin } from "../api_types";
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

const list_at = "/circuit_answers";
const is_at = (at: CavityRef, pin: Pin) => at.connector === pin.connector && at.cavity === pin.cavity;
const is_of = (at: CavityRef, module: Module) => (module.pins ?? []).some((pin) => is_at(at, pin));

function drop(answers: readonly CircuitAnswer[], gone: (answer: CircuitAnswer) => boolean): PatchStep[] {
  return answers
    .flatMap((answer, index): PatchStep[][] => {
      const path = `${list_at}/${index}`;
      return gone(answer) ? [[{ op: "test", path: `${path}/id`, value: answer.id }, { op: "remove", path }]] : [];
    })
    .reverse() // from the back, so that what stands before keeps its place
    .flat();
}

// Two pins are one circuit, or they are not. What was said before of the pair goes, and so does what the new answer
// rules out: within the two modules a pin is the same circuit as one other at most.
export function say_circuit(doc: Graft, found: PinPlace, donor: PinPlace, different: boolean): PatchStep[] {
  const answers = doc.circuit_answers ?? [];
  const replaced = (one: CircuitAnswer) => {
    const same_found = is_at(one.found, found.pin);
    const same_donor = is_at(one.donor, donor.pin);
    if (same_found && same_donor) return true;
    if (different || one.different) return false;
    return (same_found && is_of(one.donor, donor.module)) || (same_donor && is_of(one.found, found.module));
  };
  const place = ({ pin: { connector, cavity } }: PinPlace): CavityRef => ({ connector, cavity });
  const answer: CircuitAnswer = {
    id: [found.pin, donor.pin].map((pin) => `${pin.connector} ${pin.cavity}`).join(" = "),
    found: place(found),
    donor: place(donor),
    ...(different && { different }),
  };
  const add: PatchStep = doc.circuit_answers
    ? { op: "add", path: `${list_at}/-`, value: json(answer) }
    : { op: "add", path: list_at, value: json([answer]) };
  return [...tests(found), ...tests(donor), ...drop(answers, replaced), add];
}

// A list that holds nothing is not kept: the last answer takes it along.
export function take_back_circuit(doc: Graft, id: string): PatchStep[] {
  const answers = doc.circuit_answers ?? [];
  const steps = drop(answers, (one) => one.id === id);
  return steps.length > 0 && answers.length === 1 ? [...steps.slice(0, 1), { op: "remove", path: list_at }] : steps;
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
