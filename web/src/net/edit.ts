// Edits. Shown at once, sent with the revision that they were made on, taken back if the program refuses. Where
// another device changed the same thing first, the person is told what it was and can make the edit again.

import { signal } from "@preact/signals";
import type { Graft, PatchStep, Problem } from "../api_types";
import { show_message } from "../message";
import { type ChangeList, in_one_line } from "../model/changes";
import { patched } from "../model/patch";
import { graft, if_match, load_graft, type OpenGraft } from "./graft";
import { ask, graft_path, type Refusal } from "./request";
import { keep_unsent } from "./unsent";

// An edit is a function of the document, so that it can be made again on a newer one.
export type Edit = (doc: Graft) => PatchStep[];

export interface Conflict {
  text: string; // what the person wanted to change
  problems: Problem[];
  again: () => void;
}

export const conflict = signal<Conflict | null>(null);
export const edits_in_progress = signal(0);

let queue: Promise<unknown> = Promise.resolve();

// One after the other: the second edit must know the first one's revision.
function enqueue<T>(work: () => Promise<T>): Promise<T> {
  const next = queue.then(work, work);
  queue = next.catch(() => undefined);
  return next;
}

async function while_busy<T>(work: () => Promise<T>): Promise<T> {
  edits_in_progress.value += 1;
  try {
    return await enqueue(work);
  } finally {
    edits_in_progress.value -= 1;
  }
}

function report_refusal(text: string, refusal: Refusal, again: () => void): void {
  if (refusal.status === 409 || refusal.status === 412) {
    conflict.value = { text, problems: refusal.problems, again };
    return;
  }
  const problem = refusal.problems[0];
  show_message(`Not saved: ${text}. ${problem?.message ?? ""} ${problem?.remedy ?? ""}`, "error");
}

function show(open: OpenGraft, patch: PatchStep[]): boolean {
  const next = patched(open.doc, patch);
  if (!next) return false;
  graft.value = { ...open, doc: next };
  return true;
}

async function send(text: string, edit: Edit): Promise<boolean> {
  const open = graft.value;
  if (!open) return false;
  const patch = edit(open.doc);
  if (patch.length === 0) return true;
  if (!show(open, patch)) {
    show_message(`Not saved: ${text}. The item is no longer there.`, "error");
    return false;
  }
  const shown = graft.value?.doc;
  const answer = await ask<{ revision: number; rebased: boolean }>(graft_path(open.name), {
    method: "PATCH",
    body: patch,
    headers: { ...if_match(open), "Content-Type": "application/json-patch+json" },
  });
  if (!answer.ok && answer.status === 0) {
    keep_unsent(open.name, { text, patch });
    show_message(`No connection. Kept on this device and saved when the connection is back: ${text}.`);
    return true;
  }
  if (graft.value?.name !== open.name) return answer.ok;
  if (!answer.ok) {
    await load_graft(open.name);
    report_refusal(text, answer, () => void change(text, edit));
    return false;
  }
  // An event may have brought an older document meanwhile, without this edit.
  if (answer.value.rebased || graft.value.doc !== shown) await load_graft(open.name);
  else if (graft.value.revision <= answer.value.revision) {
    graft.value = { ...graft.value, revision: answer.value.revision, can_undo: true, can_redo: false };
  }
  return true;
}

// `text` says to the person what is changed: "size of w12".
export const change = (text: string, edit: Edit): Promise<boolean> => while_busy(() => send(text, edit));

async function step(direction: "undo" | "redo"): Promise<void> {
  const open = graft.value;
  if (!open || !(direction === "undo" ? open.can_undo : open.can_redo)) return;
  const answer = await ask<{ revision: number } & ChangeList>(graft_path(open.name, `/${direction}`), {
    method: "POST",
    headers: if_match(open),
  });
  await load_graft(open.name);
  const name = direction === "undo" ? "Undo" : "Redo";
  if (answer.ok) show_message(`${name}: ${in_one_line(answer.value)}`);
  else report_refusal(name, answer, () => void enqueue(() => step(direction)));
}

export const undo = () => enqueue(() => step("undo"));
export const redo = () => enqueue(() => step("redo"));

// For what changes the document through its own route (a table added, a plan proposed): post, then read the document again.
export function post<T>(text: string, rest: string, body: unknown): Promise<T | null> {
  const open = graft.value;
  if (!open) return Promise.resolve(null);
  return while_busy(async () => {
    const fresh = graft.value ?? open;
    const answer = await ask<T>(graft_path(open.name, rest), { method: "POST", body, headers: if_match(fresh) });
    await load_graft(open.name);
    if (answer.ok) return answer.value;
    report_refusal(text, answer, () => void post(text, rest, body));
    return null;
  });
}
