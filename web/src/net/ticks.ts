// Ticks of the open graft: done or not, the same on every device.

import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Tick } from "../api_types";
import { show_message } from "../message";
import { tick_count } from "./events";
import { graft } from "./graft";
import { ask, graft_path } from "./request";

const ticks = signal<{ graft: string; done: ReadonlySet<string> }>({ graft: "", done: new Set() });

async function read(name: string): Promise<void> {
  const answer = await ask<{ ticks: Tick[] }>(graft_path(name, "/ticks"));
  if (!answer.ok) return;
  const done = answer.value.ticks.filter((tick) => tick.done).map((tick) => tick.subject);
  ticks.value = { graft: name, done: new Set(done) };
}

// The subjects that are ticked (model/tick_subjects.ts).
export function use_ticks(): ReadonlySet<string> {
  const name = graft.value?.name ?? "";
  const count = tick_count.value;
  useEffect(() => {
    if (name) void read(name);
  }, [name, count]);
  return ticks.value.graft === name ? ticks.value.done : new Set();
}

export async function set_tick(subject: string, done: boolean): Promise<void> {
  const name = graft.value?.name;
  if (!name) return;
  const before = ticks.value;
  const next = new Set(before.done);
  if (done) next.add(subject);
  else next.delete(subject);
  ticks.value = { graft: name, done: next };
  const answer = await ask(graft_path(name, `/ticks/${encodeURIComponent(subject)}`), { method: "PUT", body: { done } });
  if (answer.ok) return;
  ticks.value = before;
  show_message(`Not saved: the tick. ${answer.problems[0]?.message ?? ""}`, "error");
}
