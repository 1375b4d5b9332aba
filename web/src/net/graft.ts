// The graft that is open: its document, its revision, whether there is something to undo. One in the page at a time.

import { computed, signal } from "@preact/signals";
import type { Graft, Problem } from "../api_types";
import { ask_text, graft_path, type Result } from "./request";

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

function open_graft_of(name: string, answer: Result<string>): Result<OpenGraft> {
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

let latest_request = 0;
let wanted_name = "";

// Creates a graft, or a copy of the demo. The answer holds the whole document: it need not be requested again.
export async function create_graft(name: string, title: string, example: boolean): Promise<Result<OpenGraft>> {
  const created = open_graft_of(name, await ask_text("/api/grafts", { method: "POST", body: { name, title, example } }));
  if (created.ok) {
    latest_request += 1;
    wanted_name = name;
    open_problems.value = [];
    graft.value = created.value;
  }
  return created;
}

export const is_open = (name: string) => graft.peek()?.name === name;

let latest_load: Promise<void> = Promise.resolve();

// Reads the graft again. Of several requests at once the latest counts, and each waits for it: an edit that comes next must
// not be made on an older document.
export function load_graft(name: string): Promise<void> {
  const load: Promise<void> = read_graft(name).then(() => (latest_load === load ? undefined : latest_load));
  latest_load = load;
  return load;
}

async function read_graft(name: string): Promise<void> {
  latest_request += 1;
  const mine = latest_request;
  wanted_name = name;
  if (!is_open(name)) graft.value = null;
  const answer = open_graft_of(name, await ask_text(graft_path(name)));
  if (mine !== latest_request) return;
  if (!answer.ok) {
    open_problems.value = answer.problems;
    return;
  }
  open_problems.value = [];
  graft.value = answer.value;
}

// A screen is removed only when the next one is there, which may have requested its own graft by then.
export function close_graft(name: string): void {
  if (wanted_name !== name) return;
  latest_request += 1;
  graft.value = null;
  open_problems.value = [];
}
