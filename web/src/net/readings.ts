// Readings of the open graft: those that the program has and those that this device has not sent yet.

import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Reading } from "../api_types";
import { show_message } from "../message";
import { type MarkedReading, new_reading_id, type ReadingMarks } from "../model/reading";
import type { Outbox } from "../outbox";
import { start_outbox, stored_readings } from "../outbox_page";
import { add_practice_reading, practice_readings } from "../practice_readings";
import { author } from "../settings";
import { connection, reading_count } from "./events";
import { graft } from "./graft";
import { ask, graft_path } from "./request";

// False in a browser that stores nothing (private window). It still shows everything; the measuring screens say so.
export const can_store = signal(true);
const outbox: Promise<Outbox | null> = start_outbox().catch(() => {
  can_store.value = false;
  return null;
});

const of_program = signal<{ graft: string; readings: MarkedReading[] }>({ graft: "", readings: [] });

async function read(name: string): Promise<void> {
  const answer = await ask<{ readings: Reading[] }>(graft_path(name, "/readings"));
  if (!answer.ok) return;
  if (graft.value?.name !== name) return;
  of_program.value = { graft: name, readings: answer.value.readings };
}

export interface Readings {
  readings: MarkedReading[]; // the program's, then the pending ones
  pending: number;
  refused: string[]; // why, of each
  saved: number; // how many the program has
}

export function use_readings(): Readings {
  const name = graft.value?.name ?? "";
  const count = reading_count.value;
  const saved_here = stored_readings.value.filter((stored) => stored.state === "saved").length;
  const connected = connection.value === "connected";
  useEffect(() => {
    if (name && connected) void read(name);
  }, [name, count, saved_here, connected]);
  return readings_at_hand();
}

// Those that something else on the screen requests.
export function readings_at_hand(): Readings {
  const name = graft.value?.name ?? "";
  const here = stored_readings.value.filter((stored) => stored.graft === name);
  const theirs = of_program.value.graft === name ? of_program.value.readings : [];
  const ids = new Set(theirs.map((reading) => reading.id));
  const own = here.filter((stored) => stored.state !== "refused" && !ids.has(stored.reading.id)).map((stored) => stored.reading);
  return {
    readings: [...[...theirs, ...own].filter((reading) => !reading.practice), ...practice_readings(name)],
    pending: here.filter((stored) => stored.state === "pending").length,
    refused: here.filter((stored) => stored.state === "refused").map((stored) => stored.reason),
    saved: theirs.length,
  };
}

// Stored in this device before this resolves; true if it is. Practice readings stay in this tab.
export async function add_reading(test: string, value: number, unit: string, marks: ReadingMarks): Promise<boolean> {
  const name = graft.value?.name;
  if (name && marks.practice) {
    add_practice_reading(name, { id: new_reading_id(), test, value, unit, ...marks });
    return true;
  }
  const box = await outbox;
  if (!name) return false;
  const reading: MarkedReading = { id: new_reading_id(), test, value, unit, author: author.value, ...marks };
  if (box) {
    try {
      await box.put(name, reading);
      return true;
    } catch {
      can_store.value = false;
    }
  }
  const answer = await ask(graft_path(name, "/readings"), { method: "POST", body: reading });
  if (answer.ok) void read(name);
  else {
    const reason = answer.problems[0]?.message ?? "";
    show_message(`Not saved: ${reason} This browser cannot store readings either. Write the reading down.`, "error");
  }
  return answer.ok;
}
