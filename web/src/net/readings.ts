// Readings of the open graft: those the program has and those still on their way from this device.

import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Reading } from "../api_types";
import type { Outbox } from "../outbox";
import { readings as kept_here, start_outbox } from "../outbox_page";
import { say } from "../say";
import { author } from "../settings";
import { ask, graft_path } from "./answer";
import { graft } from "./graft";
import { link, reading_count } from "./live";

// A browser that keeps nothing (private window) still shows everything; the measuring screens say so.
export const can_keep = signal(true);
const outbox: Promise<Outbox | null> = start_outbox().catch(() => {
  can_keep.value = false;
  return null;
});

const known = signal<{ graft: string; readings: Reading[]; stamp: number }>({ graft: "", readings: [], stamp: 0 });

async function read(name: string): Promise<void> {
  const answer = await ask<{ readings: Reading[] }>(graft_path(name, "/readings"));
  if (!answer.ok) return;
  if (graft.value?.name !== name) return;
  known.value = { graft: name, readings: answer.value.readings, stamp: answer.value.readings.length };
}

export interface Readings {
  readings: Reading[]; // the program's, then those that wait
  waiting: number;
  refused: string[];
  stamp: number; // grows with every reading that the program has
}

export function use_readings(): Readings {
  const name = graft.value?.name ?? "";
  const count = reading_count.value;
  const safe = kept_here.value.filter((kept) => kept.fate === "safe").length;
  const joined = link.value === "joined";
  useEffect(() => {
    if (name && joined) void read(name);
  }, [name, count, safe, joined]);
  const here = kept_here.value.filter((kept) => kept.graft === name);
  const theirs = known.value.graft === name ? known.value.readings : [];
  const ids = new Set(theirs.map((reading) => reading.id));
  const own = here.filter((kept) => kept.fate !== "refused" && !ids.has(kept.reading.id)).map((kept) => kept.reading);
  return {
    readings: [...theirs, ...own],
    waiting: here.filter((kept) => kept.fate === "waiting").length,
    refused: here.filter((kept) => kept.fate === "refused").map((kept) => kept.words),
    stamp: known.value.graft === name ? known.value.stamp : 0,
  };
}

function new_id(front: string): string {
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  return front + Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

// Kept in this device before this resolves; true where it is.
export async function take_reading(test: string, value: number, unit: string, front = ""): Promise<boolean> {
  const name = graft.value?.name;
  const box = await outbox;
  if (!name) return false;
  const reading: Reading = { id: new_id(front), test, value, unit, author: author.value };
  if (box) {
    try {
      await box.put(name, reading);
      return true;
    } catch {
      can_keep.value = false;
    }
  }
  const answer = await ask(graft_path(name, "/readings"), { method: "POST", body: reading });
  if (!answer.ok) say(`Not saved: ${answer.problems[0]?.message ?? ""} This browser keeps nothing either; write the reading down.`, "error");
  else void read(name);
  return answer.ok;
}
