// Ticks of the open graft: done or not, the same on every device. One made without a connection counts here at once.

import { effect, signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Tick } from "../api_types";
import { show_message } from "../message";
import { new_reading_id } from "../model/reading";
import type { Stored } from "../outbox";
import { author } from "../settings";
import { connection, tick_count } from "./events";
import { graft } from "./graft";
import { ask, graft_path } from "./request";
import { keep_entry, stored_entries, try_to_send } from "./waiting";

// As the program has them.
const ticks = signal<{ graft: string; done: ReadonlySet<string> }>({ graft: "", done: new Set() });

async function read(name: string): Promise<void> {
  const answer = await ask<{ ticks: Tick[] }>(graft_path(name, "/ticks"));
  if (!answer.ok) return;
  const done = answer.value.ticks.filter((tick) => tick.done).map((tick) => tick.subject);
  ticks.value = { graft: name, done: new Set(done) };
}

function with_entries(done: ReadonlySet<string>, entries: readonly Stored[]): ReadonlySet<string> {
  if (entries.length === 0) return done;
  const next = new Set(done);
  for (const { content } of entries) {
    if (content.kind !== "tick") continue;
    if (content.done) next.add(content.subject);
    else next.delete(content.subject);
  }
  return next;
}

// What the program has just taken is among its ticks before they are read again.
const taken = new Set<string>();
effect(() => {
  const fresh = stored_entries.value.filter(({ id, state, content }) => content.kind === "tick" && state === "saved" && !taken.has(id));
  for (const { id } of fresh) taken.add(id);
  const before = ticks.peek();
  const ours = fresh.filter((stored) => stored.graft === before.graft);
  if (ours.length > 0) ticks.value = { ...before, done: with_entries(before.done, ours) };
});

// The subjects that are ticked (model/tick_subjects.ts).
export function use_ticks(): ReadonlySet<string> {
  const name = graft.value?.name ?? "";
  const count = tick_count.value;
  const link = connection.value;
  useEffect(() => {
    if (name && link !== "connecting") void read(name);
  }, [name, count, link]);
  const theirs = ticks.value.graft === name ? ticks.value.done : new Set<string>();
  return with_entries(
    theirs,
    stored_entries.value.filter((stored) => stored.graft === name && stored.state === "pending"),
  );
}

// What waits for the tick (the attached meter) waits no longer than this for the program.
const longest_wait_ms = 1500;

// Resolves when it is on this device's disk and, if the program answers, on the program's. `about`: what it says, for people.
export async function set_tick(subject: string, done: boolean, about = ""): Promise<void> {
  const name = graft.value?.name;
  if (!name) return;
  const content = { kind: "tick", subject, done } as const;
  if (await keep_entry({ id: new_reading_id(), graft: name, author: author.value, label: about, content })) {
    await try_to_send(longest_wait_ms);
    return;
  }
  const answer = await ask(graft_path(name, `/ticks/${encodeURIComponent(subject)}`), { method: "PUT", body: { done } });
  if (answer.ok) void read(name);
  else show_message(`Not saved: the tick. ${answer.problems[0]?.message ?? ""} This browser cannot store it either.`, "error");
}
