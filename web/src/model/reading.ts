// Readings and their marks.

import type { Reading } from "../api_types";

// practice: the practice meter showed it, nothing was measured. in_band_only: the person said "in band" and noted no value;
// the value is the plan's.
export type ReadingMarks = Pick<Reading, "practice" | "in_band_only">;

export type MarkedReading = Reading;

const practice_prefix = "practice-";
const in_band_prefix = "in-band-";

// Earlier versions of this page put the marks in front of the id. The program knows such ids; this is for readings that a
// phone still stores.
export function with_marks(reading: MarkedReading): MarkedReading {
  if (reading.practice !== undefined || reading.in_band_only !== undefined) return reading;
  const practice = reading.id.startsWith(practice_prefix);
  const in_band_only = reading.id.startsWith(in_band_prefix, practice ? practice_prefix.length : 0);
  return { ...reading, practice, in_band_only };
}

export function new_reading_id(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}
