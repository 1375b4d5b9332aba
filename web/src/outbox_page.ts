// The outbox of this page: IndexedDB stores its entries, the program's API receives them.

import { signal } from "@preact/signals";
import { ask, type Call, graft_path, type Refusal } from "./net/request";
import { create_outbox, type Outbox, type SendResult, type Stored } from "./outbox";
import { open_store } from "./outbox_store";

export const stored_entries = signal<Stored[]>([]);

// How many are being stored at this moment: the page must not be closed before.
export const being_stored = signal(0);

// What the program says about the entry itself; it will not say anything else tomorrow. A graft that is missing (404) or
// damaged (500) may come back: its entries wait.
const final_statuses = new Set([400, 410, 413, 414, 415]);

const is_final = ({ status, problems }: Refusal): boolean =>
  final_statuses.has(status) || (status === 409 && problems.some((problem) => problem.code === "id-taken"));

function call_of({ id, graft, author, content }: Stored, picture: ArrayBuffer | null): [path: string, call: Call] {
  const headers = { "X-Author": encodeURIComponent(author) };
  if (content.kind === "reading") return [graft_path(graft, "/readings"), { method: "POST", body: content.reading, headers }];
  if (content.kind === "tick") {
    return [graft_path(graft, `/ticks/${encodeURIComponent(content.subject)}`), { method: "PUT", body: { done: content.done }, headers }];
  }
  const query = new URLSearchParams({ id, subject: content.subject, name: content.name });
  const raw = new Blob(picture ? [picture] : [], { type: content.mime });
  return [graft_path(graft, `/photos?${query.toString()}`), { method: "POST", raw, headers }];
}

// A connection that hangs is a lost one; a photo of 16 MiB may take long on a weak one.
const longest_ms = { reading: 20_000, tick: 20_000, photo: 180_000 };

async function send(stored: Stored, picture: ArrayBuffer | null): Promise<SendResult> {
  const [path, call] = call_of(stored, picture);
  const stop = new AbortController();
  const timer = window.setTimeout(() => stop.abort(), longest_ms[stored.content.kind]);
  const answer = await ask(path, { ...call, signal: stop.signal });
  window.clearTimeout(timer);
  if (answer.ok) return { state: "saved" };
  if (answer.status === 0) return { state: "pending", answered: false, reason: "" };
  const taken = answer.problems.some((problem) => problem.code === "id-taken");
  // The program names the id, which means nothing to a person.
  const reason = taken
    ? "The workbench already has something else under the number of this entry, and left it as it is."
    : answer.problems.map((problem) => problem.message).join(" ");
  return is_final(answer) ? { state: "refused", reason } : { state: "pending", answered: true, reason };
}

const retry_ms = 4000;

export async function start_outbox(): Promise<Outbox> {
  const outbox = await create_outbox(await open_store(), send, (list) => {
    stored_entries.value = list;
  });
  stored_entries.value = outbox.list();
  window.addEventListener("online", () => void outbox.flush(true));
  window.setInterval(() => void outbox.flush(), retry_ms);
  void outbox.flush();
  return outbox;
}

// Null in a browser that stores nothing.
let running: Promise<Outbox | null> | null = null;

export function the_outbox(): Promise<Outbox | null> {
  running ??= start_outbox().catch(() => null);
  return running;
}
