// What a person found out about a part whose words name a restraint or high-voltage circuit.

import type { Graft, Json, PatchStep, PresumedPart, SafetyAnswer } from "../api_types";

export interface Finding {
  harmless: boolean;
  by: string;
  note: string;
  time: string;
}

const list_at = "/safety_answers";

export const part_key = (part: PresumedPart): string => [part.subject, part.at, part.cavity, part.said].join("|");

function free_id(answers: readonly SafetyAnswer[]): string {
  const taken = new Set(answers.map(({ id }) => id));
  for (let number = answers.length + 1; ; number += 1) {
    if (!taken.has(`safety${number}`)) return `safety${number}`;
  }
}

export function answer_safety(doc: Graft, part: PresumedPart, finding: Finding): PatchStep[] {
  const answers = doc.safety_answers ?? [];
  const answer: SafetyAnswer = {
    id: free_id(answers),
    subject: part.subject,
    at: part.at,
    ...(part.cavity && { cavity: part.cavity }),
    said: part.said,
    ...(finding.harmless && { harmless: true }),
    by: finding.by,
    time: finding.time,
    ...(finding.note && { note: finding.note }),
  };
  const value = answer as unknown as Json;
  return doc.safety_answers ? [{ op: "add", path: `${list_at}/-`, value }] : [{ op: "add", path: list_at, value: [value] }];
}

// The document keeps no empty list.
export function remove_safety_answer(doc: Graft, id: string): PatchStep[] {
  const answers = doc.safety_answers ?? [];
  const index = answers.findIndex((one) => one.id === id);
  if (index < 0) return [];
  const test: PatchStep = { op: "test", path: `${list_at}/${index}/id`, value: id };
  return [test, { op: "remove", path: answers.length === 1 ? list_at : `${list_at}/${index}` }];
}
