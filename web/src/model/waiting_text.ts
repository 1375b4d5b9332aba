// What waits on this device, counted and said in words.

import type { Content, Stored } from "../outbox";
import { amount } from "./proof";

export interface WaitingFor {
  graft: string;
  readings: number;
  ticks: number;
  photos: number;
  edits: number;
  reason: string; // why the program does not take them although it answers; empty if nobody knows of one
}

const counted: Record<Content["kind"], "readings" | "ticks" | "photos"> = { reading: "readings", tick: "ticks", photo: "photos" };

export function by_graft(entries: readonly Stored[], edits: ReadonlyMap<string, number>): WaitingFor[] {
  const found = new Map<string, WaitingFor>();
  const row_of = (graft: string): WaitingFor => {
    const row = found.get(graft) ?? { graft, readings: 0, ticks: 0, photos: 0, edits: 0, reason: "" };
    found.set(graft, row);
    return row;
  };
  for (const { graft, state, content, reason } of entries) {
    if (state !== "pending") continue;
    const row = row_of(graft);
    row[counted[content.kind]] += 1;
    row.reason ||= reason;
  }
  for (const [graft, count] of edits) row_of(graft).edits += count;
  return [...found.values()];
}

const number_of = (count: number, one: string): string[] => (count === 0 ? [] : [`${count} ${one}${count === 1 ? "" : "s"}`]);

const in_a_row = (parts: string[]): string =>
  parts.length < 2 ? (parts[0] ?? "") : `${parts.slice(0, -1).join(", ")} and ${parts.at(-1) ?? ""}`;

// "2 readings, 1 tick and 1 photo"
export function counts_text({ readings, ticks, photos, edits }: Omit<WaitingFor, "graft" | "reason">): string {
  return in_a_row([
    ...number_of(readings, "reading"),
    ...number_of(ticks, "tick"),
    ...number_of(photos, "photo"),
    ...number_of(edits, "edit"),
  ]);
}

export const count_of = ({ readings, ticks, photos, edits }: WaitingFor): number => readings + ticks + photos + edits;

export function total_of(list: readonly WaitingFor[]): WaitingFor {
  const sum = { graft: "", readings: 0, ticks: 0, photos: 0, edits: 0, reason: "" };
  for (const { readings, ticks, photos, edits } of list) {
    sum.readings += readings;
    sum.ticks += ticks;
    sum.photos += photos;
    sum.edits += edits;
  }
  return sum;
}

// One entry in a line: "Reading 4.7 Ω, resistance of the valve"
export function entry_text({ content, label }: Stored): string {
  const about = label ? `, ${label}` : "";
  if (content.kind === "reading") {
    const { value, unit, in_band_only } = content.reading;
    const shown = in_band_only ? "in band, no value" : unit === "" || unit === "unreached" ? "cannot be reached" : amount(value, unit);
    return `Reading: ${shown}${about}`;
  }
  if (content.kind === "tick") return `Tick ${content.done ? "set" : "taken back"}${about}`;
  return `Photo ${content.name}${about}`;
}

// "12 May, 10:32" in the device's own way of writing.
export function clock_text(time: string): string {
  const date = new Date(time);
  if (time === "" || Number.isNaN(date.getTime())) return "";
  const today = date.toDateString() === new Date().toDateString();
  return date.toLocaleString([], today ? { timeStyle: "short" } : { dateStyle: "medium", timeStyle: "short" });
}
