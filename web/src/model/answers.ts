// Answers to questions: what a person saw or measured becomes a fact of the pin, marked as proved.

import type { CavityRef, CircuitAnswer, Claim, Graft, Json, Module, PatchStep, Pin, PinClass } from "../api_types";
import type { LocatedPin } from "./document";

const json = (value: unknown) => value as Json;

function set(pointer: string, pin: Pin, member: keyof Pin, value: Json | undefined): PatchStep[] {
  const path = `${pointer}/${member}`;
  if (value !== undefined) return [{ op: "add", path, value }];
  return pin[member] === undefined ? [] : [{ op: "remove", path }];
}

const tests = (located: LocatedPin): PatchStep[] => located.test.map(({ path, value }) => ({ op: "test", path, value }));

// Settles the claims about a pin: the pin gets the facts of the claim that is right.
export function settle_claim(located: LocatedPin, claim: Claim): PatchStep[] {
  const { pointer, pin } = located;
  const claims = (pin.claims ?? []).map((one) => {
    const { proved: _, ...rest } = one;
    return one === claim ? { ...rest, proved: true } : rest;
  });
  return [
    ...tests(located),
    ...(claim.signal ? set(pointer, pin, "signal", claim.signal) : []),
    ...(claim.class && claim.class !== "unknown" ? set(pointer, pin, "class", claim.class) : []),
    ...(claim.colour ? set(pointer, pin, "colour", json(claim.colour)) : []),
    ...set(pointer, pin, "claims", json(claims)),
    ...set(pointer, pin, "doubts", undefined),
  ];
}

// Records what was found at the vehicle if no source is right.
export function record_fact(located: LocatedPin, fact: { signal?: string; class?: PinClass }): PatchStep[] {
  const { pointer, pin } = located;
  const claim: Claim = { signal: fact.signal ?? pin.signal ?? "", class: fact.class ?? pin.class ?? "unknown", proved: true };
  if (pin.colour) claim.colour = pin.colour;
  const before = (pin.claims ?? []).map(({ proved: _, ...rest }) => rest);
  return [
    ...tests(located),
    ...(fact.signal === undefined ? [] : set(pointer, pin, "signal", fact.signal)),
    ...(fact.class === undefined ? [] : set(pointer, pin, "class", fact.class)),
    ...set(pointer, pin, "claims", json([...before, claim])),
    ...set(pointer, pin, "doubts", undefined),
  ];
}

const list_at = "/circuit_answers";
const is_at = (at: CavityRef, pin: Pin) => at.connector === pin.connector && at.cavity === pin.cavity;
const is_of = (at: CavityRef, module: Module) => (module.pins ?? []).some((pin) => is_at(at, pin));

function drop(answers: readonly CircuitAnswer[], gone: (answer: CircuitAnswer) => boolean): PatchStep[] {
  return answers
    .flatMap((answer, index): PatchStep[][] => {
      const path = `${list_at}/${index}`;
      return gone(answer)
        ? [
            [
              { op: "test", path: `${path}/id`, value: answer.id },
              { op: "remove", path },
            ],
          ]
        : [];
    })
    .reverse() // from the back, so that the indexes before stay valid
    .flat();
}

// Records that two pins are the same circuit, or that they are not. This removes the earlier answer about the pair, and
// the answers that the new one rules out: between two modules a pin is the same circuit as at most one other.
export function record_circuit_answer(doc: Graft, found: LocatedPin, donor: LocatedPin, different: boolean): PatchStep[] {
  const answers = doc.circuit_answers ?? [];
  const replaced = (one: CircuitAnswer) => {
    const same_found = is_at(one.found, found.pin);
    const same_donor = is_at(one.donor, donor.pin);
    if (same_found && same_donor) return true;
    if (different || one.different) return false;
    return (same_found && is_of(one.donor, donor.module)) || (same_donor && is_of(one.found, found.module));
  };
  const cavity_ref = ({ pin: { connector, cavity } }: LocatedPin): CavityRef => ({ connector, cavity });
  const answer: CircuitAnswer = {
    id: [found.pin, donor.pin].map((pin) => `${pin.connector} ${pin.cavity}`).join(" = "),
    found: cavity_ref(found),
    donor: cavity_ref(donor),
    ...(different && { different }),
  };
  const add: PatchStep = doc.circuit_answers
    ? { op: "add", path: `${list_at}/-`, value: json(answer) }
    : { op: "add", path: list_at, value: json([answer]) };
  return [...tests(found), ...tests(donor), ...drop(answers, replaced), add];
}

// The document keeps no empty list: removing the last answer removes the list.
export function remove_circuit_answer(doc: Graft, id: string): PatchStep[] {
  const answers = doc.circuit_answers ?? [];
  const steps = drop(answers, (one) => one.id === id);
  return steps.length > 0 && answers.length === 1 ? [...steps.slice(0, 1), { op: "remove", path: list_at }] : steps;
}
