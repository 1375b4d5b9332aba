// The graft that is open: its document, its revision, whether there is something to undo. One in the page at a time.

import { computed, signal } from "@preact/signals";
import type { Graft, Problem } from "../api_types";
import { ask_text, graft_path, type Result } from "./answer";

export interface OpenGraft {
  name: string;
  doc: Graft;
  revision: number;
  can_undo: boolean;
  can_redo: boolean;
}

export const graft = signal<OpenGraft | null>(null);
export const open_problems = signal<Problem[]>([]);
export const doc = computed(() => graft.value?.doc ?? null);

const etag_of = (revision: number) => `"r${revision}"`;
export const if_match = (open: OpenGraft) => ({ "If-Match": etag_of(open.revision) });

function revision_of(headers: Headers): number {
  return Number(/r(\d+)/.exec(headers.get("ETag") ?? "")?.[1] ?? 0);
}

function opened(name: string, answer: Result<string>): Result<OpenGraft> {
  if (!answer.ok) return answer;
  const value = {
    name,
    doc: JSON.parse(answer.value) as Graft,
    revision: revision_of(answer.headers),
    can_undo: answer.headers.get("X-Can-Undo") === "true",
    can_redo: answer.headers.get("X-Can-Redo") === "true",
  };
  return { ...answer, value };
}

let latest = 0;
let wanted = "";

// A new graft, or a copy of the demo. It is answered whole, so nobody needs to ask for it again.
export async function make_graft(name: string, title: string, example: boolean): Promise<Result<OpenGraft>> {
  const made = opened(name, await ask_text("/api/grafts", { method: "POST", body: { name, title, example } }));
  if (made.ok) {
    latest += 1;
    wanted = name;
    open_problems.value = [];
    graft.value = made.value;
  }
  return made;
}

export const is_open = (name: string) => graft.peek()?.name === name;

// Reads the graft anew. Of several readings at once the last one asked for counts.
export async function load_graft(name: string): Promise<void> {
  latest += 1;
  const mine = latest;
  wanted = name;
  if (!is_open(name)) graft.value = null;
  const answer = opened(name, await ask_text(graft_path(name)));
  if (mine !== latest) return;
  if (!answer.ok) {
    open_problems.value = answer.problems;
    return;
  }
  open_problems.value = [];
  graft.value = answer.value;
}

// A screen goes only when the next one is there, which may have asked for its own graft by then.
export function close_graft(name: string): void {
  if (wanted !== name) return;
  latest += 1;
  graft.value = null;
  open_problems.value = [];
}
