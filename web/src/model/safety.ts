// What a person found out about a part whose words name a restraint or high-voltage circuit.

import type { Graft, Json, PatchStep, PresumedPart, SafetyAnswer } from "../api_types";
import { module_name } from "./document";

export interface Finding {
  harmless: boolean;
  by: string;
  note: string;
  time: string;
}

const list_at = "/safety_answers";

export const part_key = (part: PresumedPart): string => [part.subject, part.at, part.cavity, part.said].join("|");

// Parts that say the same are one question: the vehicle's pin, the donor's and the wire between them.
export function safety_questions(presumed: readonly PresumedPart[]): PresumedPart[][] {
  const by_words = new Map<string, PresumedPart[]>();
  for (const part of presumed) {
    const words = part.said.trim().toLowerCase();
    by_words.set(words, [...(by_words.get(words) ?? []), part]);
  }
  return [...by_words.values()];
}

const kind_of_part: Record<PresumedPart["subject"], string> = {
  pin: "",
  device: "",
  wire: "wire ",
  module: "module ",
  connector: "plug ",
};

// Where it stands, each place once: "C3-1 (vehicle's module), C3-1 (donor module), wire driver airbag squib".
export function places_of(doc: Graft, parts: readonly PresumedPart[]): string {
  const module_of = (part: PresumedPart) => doc.modules?.find((one) => one.connectors?.includes(part.at));
  const text = (part: PresumedPart) => {
    const module = part.subject === "pin" ? module_of(part) : undefined;
    return `${kind_of_part[part.subject]}${part.name}${module ? ` (${module_name(module)})` : ""}`;
  };
  return [...new Set(parts.map(text))].join(", ");
}

// Wires that nobody is to touch, before or after an answer.
export function wires_left_alone(doc: Graft, presumed: readonly PresumedPart[]): Set<string> {
  const kept = (doc.safety_answers ?? []).filter(({ harmless }) => !harmless);
  const named = new Set([...presumed, ...kept].map(({ at, cavity }) => JSON.stringify([at, cavity ?? ""])));
  const marked = (doc.modules ?? []).flatMap((module) => (module.pins ?? []).filter(({ forbidden }) => forbidden));
  for (const { connector, cavity } of marked) named.add(JSON.stringify([connector, cavity]));
  const is_named = (at?: string, cavity?: string) => named.has(JSON.stringify([at ?? "", cavity ?? ""]));
  const wires = [...(doc.wires ?? []), ...(doc.plan ?? []).flatMap((step) => (step.added ? [step.added] : []))];
  const left = wires.filter(({ id, from, to }) => is_named(id, "") || is_named(from?.at, from?.cavity) || is_named(to?.at, to?.cavity));
  return new Set(left.map(({ id }) => id));
}

function free_id(answers: readonly SafetyAnswer[]): string {
  const taken = new Set(answers.map(({ id }) => id));
  for (let number = answers.length + 1; ; number += 1) {
    if (!taken.has(`safety${number}`)) return `safety${number}`;
  }
}

function answer_of(id: string, part: PresumedPart, finding: Finding): SafetyAnswer {
  return {
    id,
    subject: part.subject,
    at: part.at,
    ...(part.cavity && { cavity: part.cavity }),
    said: part.said,
    ...(finding.harmless && { harmless: true }),
    by: finding.by,
    time: finding.time,
    ...(finding.note && { note: finding.note }),
  };
}

// One answer to each of the parts of a question.
export function answer_safety(doc: Graft, parts: readonly PresumedPart[], finding: Finding): PatchStep[] {
  const answers = [...(doc.safety_answers ?? [])];
  const fresh = parts.map((part) => {
    const answer = answer_of(free_id(answers), part, finding);
    answers.push(answer);
    return answer as unknown as Json;
  });
  if (!doc.safety_answers) return [{ op: "add", path: list_at, value: fresh }];
  return fresh.map((value) => ({ op: "add", path: `${list_at}/-`, value }));
}

// What was answered alike, at one time, about the same words.
export function answered_together(answers: readonly SafetyAnswer[]): SafetyAnswer[][] {
  const groups = new Map<string, SafetyAnswer[]>();
  for (const answer of answers) {
    const key = JSON.stringify([answer.said.toLowerCase(), answer.harmless ?? false, answer.by, answer.time, answer.note]);
    groups.set(key, [...(groups.get(key) ?? []), answer]);
  }
  return [...groups.values()];
}

// The document keeps no empty list. The last goes first, so that the others keep their places.
export function remove_safety_answers(doc: Graft, ids: ReadonlySet<string>): PatchStep[] {
  const answers = doc.safety_answers ?? [];
  const gone = answers.flatMap(({ id }, index) => (ids.has(id) ? [{ id, index }] : []));
  const tests = gone.map(({ id, index }): PatchStep => ({ op: "test", path: `${list_at}/${index}/id`, value: id }));
  if (gone.length === 0) return [];
  if (gone.length === answers.length) return [...tests, { op: "remove", path: list_at }];
  return [...tests, ...gone.reverse().map(({ index }): PatchStep => ({ op: "remove", path: `${list_at}/${index}` }))];
}
