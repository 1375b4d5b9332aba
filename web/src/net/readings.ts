// Readings of the open graft: those that the program has and those that this device has not sent yet.

import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { ProveReport, Reading } from "../api_types";
import { prove_path } from "../findings";
import { show_message } from "../message";
import { type MarkedReading, new_reading_id, type ReadingMarks } from "../model/reading";
import type { ReadingContent, Stored } from "../outbox";
import { add_practice_reading, practice_readings } from "../practice_readings";
import { author } from "../settings";
import { connection, reading_count } from "./events";
import { doc, graft } from "./graft";
import { report_at_hand } from "./report";
import { ask, graft_path } from "./request";
import { keep_entry, stored_entries } from "./waiting";

const of_program = signal<{ graft: string; readings: MarkedReading[] }>({ graft: "", readings: [] });

async function read(name: string): Promise<void> {
  const answer = await ask<{ readings: Reading[] }>(graft_path(name, "/readings"));
  if (!answer.ok) return;
  if (graft.value?.name !== name) return;
  of_program.value = { graft: name, readings: answer.value.readings };
}

type StoredReading = Stored & { content: ReadingContent };

const readings_here = (name: string): StoredReading[] =>
  stored_entries.value.filter((stored): stored is StoredReading => stored.graft === name && stored.content.kind === "reading");

export interface Readings {
  readings: MarkedReading[]; // the program's, then the pending ones
  pending: number;
  refused: string[]; // why, of each
  saved: number; // how many the program has
}

export function use_readings(): Readings {
  const name = graft.value?.name ?? "";
  const count = reading_count.value;
  const saved_here = readings_here(name).filter((stored) => stored.state === "saved").length;
  const link = connection.value;
  useEffect(() => {
    if (name && link !== "connecting") void read(name);
  }, [name, count, saved_here, link]);
  return readings_at_hand();
}

// Those that something else on the screen requests.
export function readings_at_hand(): Readings {
  const name = graft.value?.name ?? "";
  const here = readings_here(name);
  const theirs = of_program.value.graft === name ? of_program.value.readings : [];
  const ids = new Set(theirs.map((reading) => reading.id));
  const own = here.filter((stored) => stored.state !== "refused" && !ids.has(stored.id)).map((stored) => stored.content.reading);
  return {
    readings: [...[...theirs, ...own].filter((reading) => !reading.practice), ...practice_readings(name)],
    pending: here.filter((stored) => stored.state === "pending").length,
    refused: here.filter((stored) => stored.state === "refused").map((stored) => stored.reason),
    saved: theirs.length,
  };
}

// What the test shows, for whoever reads the waiting list without its plan.
function text_of_test(test: string): string {
  const open = doc.peek();
  const report = report_at_hand<ProveReport>(open && prove_path(open));
  return report?.tests.find((one) => one.id === test)?.text ?? "";
}

// Stored in this device before this resolves; true if it is. Practice readings stay in this tab.
export async function add_reading(test: string, value: number, unit: string, marks: ReadingMarks): Promise<boolean> {
  const name = graft.value?.name;
  if (!name) return false;
  if (marks.practice) {
    add_practice_reading(name, { id: new_reading_id(), test, value, unit, ...marks });
    return true;
  }
  const reading: MarkedReading = { id: new_reading_id(), test, value, unit, author: author.value, ...marks };
  const content = { kind: "reading", reading } as const;
  if (await keep_entry({ id: reading.id, graft: name, author: author.value, label: text_of_test(test), content })) return true;
  const answer = await ask(graft_path(name, "/readings"), { method: "POST", body: reading });
  if (answer.ok) void read(name);
  else {
    const reason = answer.problems[0]?.message ?? "";
    show_message(`Not saved: ${reason} This browser cannot store readings either. Write the reading down.`, "error");
  }
  return answer.ok;
}
