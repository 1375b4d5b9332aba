// A reading of the graft with what else is known of it.

import type { Reading } from "../api_types";

export interface ReadingMarks {
  practice?: boolean; // the practice meter showed it: nothing was measured
  in_band_only?: boolean; // the person said "in band" and noted no value: the value is the plan's
}

export type MarkedReading = Reading & ReadingMarks;

const practice_prefix = "practice-";
const in_band_prefix = "in-band-";

// Earlier versions of this page put the marks in front of the id. Such readings are in graft files and in phones.
export function with_marks(reading: MarkedReading): MarkedReading {
  if (reading.practice !== undefined || reading.in_band_only !== undefined) return reading;
  const practice = reading.id.startsWith(practice_prefix);
  const in_band_only = reading.id.startsWith(in_band_prefix, practice ? practice_prefix.length : 0);
  return { ...reading, practice, in_band_only };
}

// The id that a new reading keeps. The program keeps ids but not yet the marks, so that the id still repeats them.
export function new_reading_id({ practice, in_band_only }: ReadingMarks): string {
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  const random = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return `${practice ? practice_prefix : ""}${in_band_only ? in_band_prefix : ""}${random}`;
}
