// Edits. Shown at once, sent with the revision that they were made on, taken back where the program refuses. Where
// another device changed the same thing meanwhile, the person is told what it was and can do the edit again.

import { signal } from "@preact/signals";
import type { Graft, PatchStep, Problem } from "../api_types";
import { in_one_line } from "../model/change_words";
import { patched } from "../model/patch";
import { say } from "../say";
import { ask, graft_path, type Refusal } from "./answer";
import { graft, if_match, load_graft, type OpenGraft } from "./graft";

// An edit is a function of the document, so that it can be done again on a newer one.
export type Edit = (doc: Graft) => PatchStep[];

export interface Clash {
  words: string;
  problems: Problem[];
  again: () => void;
}

export const clash = signal<Clash | null>(null);
export const busy = signal(0);

let queue: Promise<unknown> = Promise.resolve();

// One after the other: the second edit must know the first one's revision.
function in_turn<T>(work: () => Promise<T>): Promise<T> {
  const next = queue.then(work, work);
  queue = next.catch(() => undefined);
  return next;
}

function refuse(words: string, refused: Refusal, again: () => void): void {
  if (refused.status === 409 || refused.status === 412) {
    clash.value = { words, problems: refused.problems, again };
    return;
  }
  const problem = refused.problems[0];
  say(`${words}: not done. ${problem?.message ?? ""} ${problem?.remedy ?? ""}`, "error");
}

function show(open: OpenGraft, patch: PatchStep[]): boolean {
  const next = patched(open.doc, patch);
  if (!next) return false;
  graft.value = { ...open, doc: next };
  return true;
}

async function send(words: string, edit: Edit): Promise<boolean> {
  const open = graft.value;
  if (!open) return false;
  const patch = edit(open.doc);
  if (patch.length === 0) return true;
  if (!show(open, patch)) {
    say(`${words}: what it was made on is gone.`, "error");
    return false;
  }
  const answer = await ask<{ revision: number; rebased: boolean }>(graft_path(open.name), {
    method: "PATCH",
    body: patch,
    headers: { ...if_match(open), "Content-Type": "application/json-patch+json" },
  });
  if (graft.value?.name !== open.name) return answer.ok;
  if (!answer.ok) {
    await load_graft(open.name);
    refuse(words, answer, () => void change(words, edit));
    return false;
  }
  if (answer.value.rebased) await load_graft(open.name);
  else if (graft.value.revision <= answer.value.revision) {
    graft.value = { ...graft.value, revision: answer.value.revision, can_undo: true, can_redo: false };
  }
  return true;
}

export async function change(words: string, edit: Edit): Promise<boolean> {
  busy.value += 1;
  try {
    return await in_turn(() => send(words, edit));
  } finally {
    busy.value -= 1;
  }
}

async function step(way: "undo" | "redo"): Promise<void> {
  const open = graft.value;
  if (!open || !(way === "undo" ? open.can_undo : open.can_redo)) return;
  const answer = await ask<{ revision: number; words: string }>(graft_path(open.name, `/${way}`), {
    method: "POST",
    headers: if_match(open),
  });
  await load_graft(open.name);
  if (answer.ok) say(`${way === "undo" ? "Undone" : "Done again"}: ${in_one_line(answer.value.words)}`);
  else refuse(way === "undo" ? "Undo" : "Redo", answer, () => void in_turn(() => step(way)));
}

export const undo = () => in_turn(() => step("undo"));
export const redo = () => in_turn(() => step("redo"));

// For what changes the document through its own route (a table taken in, a plan proposed): post, then read anew.
export async function post<T>(words: string, rest: string, body: unknown): Promise<T | null> {
  const open = graft.value;
  if (!open) return null;
  busy.value += 1;
  try {
    return await in_turn(async () => {
      const fresh = graft.value ?? open;
      const answer = await ask<T>(graft_path(open.name, rest), { method: "POST", body, headers: if_match(fresh) });
      await load_graft(open.name);
      if (answer.ok) return answer.value;
      refuse(words, answer, () => void post(words, rest, body));
      return null;
    });
  } finally {
    busy.value -= 1;
  }
}

