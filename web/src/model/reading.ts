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

// ---- what a person writes, read as the program reads it (src/find/entered_reading.h); tests/data/readings.csv tests both

export type ReadingError = "unreadable" | "wrong_unit" | "impossible";
export type EnteredReading = { value: number } | { error: ReadingError };

const over_range_words = ["ol", "o.l", "o.l.", "0l", "0.l", ".ol", "over", "overrange", "overload", "inf", "open"];
const over_range_value = 1e9;

// data/reading_limits.csv.
const limits: Record<string, readonly [number, number]> = { ohm: [0, Number.POSITIVE_INFINITY], V: [-1000, 1000], A: [-400, 400] };

const unit_names: Record<string, string> = {
  "": "",
  ohm: "ohm",
  ohms: "ohm",
  r: "ohm",
  v: "V",
  volt: "V",
  volts: "V",
  a: "A",
  amp: "A",
  amps: "A",
  ampere: "A",
  amperes: "A",
};

const prefixes: Record<string, number> = { k: 1e3, K: 1e3, M: 1e6, m: 1e-3, u: 1e-6 };

const plain = (text: string) =>
  text
    .replace(/[\u03a9\u2126]/g, "ohm")
    .replace(/[\u00b5\u03bc]/g, "u")
    .replace(/\u2212/g, "-")
    .replace(/\u221e/g, "inf")
    .replace(/[ \t\u00a0\u202f]/g, "");

const unit_named = (letters: string): string | undefined => unit_names[letters.toLowerCase().replace(/dc$/, "")];

// Only the case tells milli from mega.
function scaled_unit(letters: string): { factor: number; unit: string } | null {
  const whole = unit_named(letters);
  if (whole !== undefined) return { factor: 1, unit: whole };
  const factor = prefixes[letters.charAt(0)];
  const unit = unit_named(letters.slice(1));
  return factor !== undefined && unit !== undefined ? { factor, unit } : null;
}

// A decimal point or comma, with thousands marks of the other kind; "1,234" alone may be either.
function number_in(text: string): number | null {
  const digits = text.replace(/^[+-]/, "");
  if (/^(\d+\.?\d*|\.\d+)$/.test(digits)) return Number(text);
  if (/^\d*,\d+$|^\d+,$/.test(digits)) {
    const thousands = /,\d{3}$/.test(digits) && /[1-9]/.test(digits.split(",")[0] ?? "");
    return thousands ? null : Number(text.replace(",", "."));
  }
  if (/^\d{1,3},\d{3}\.\d*$/.test(digits)) return Number(text.replace(",", ""));
  if (/^\d{1,3}\.\d{3},\d*$/.test(digits)) return Number(text.replace(".", "").replace(",", "."));
  return null;
}

export function entered_reading(text: string, unit: string): EnteredReading {
  // "5e-05": the exponent is taken out.
  const power = /^([^eE]*[\d.])[eE]([+-]?\d{1,2})(?!\d)(.*)$/.exec(plain(text));
  const given = power ? `${power[1]}${power[3]}` : plain(text);
  const over = over_range_words.some((word) => [word, `${word}ohm`].includes(given.toLowerCase()));
  if (over) return unit === "ohm" ? { value: over_range_value } : { error: "wrong_unit" };
  // "4R7", "1k2", "12V4": the letter stands where the point would be.
  const infix = /^([+-]?\d+)([RkKMmVA])(\d+)(.*)$/.exec(given);
  const split = /^([+\-.,\d]*)(.*)$/.exec(given);
  const written = infix ? `${infix[1]}.${infix[3]}` : (split?.[1] ?? "");
  const letters = infix ? `${infix[2]}${infix[4]}` : (split?.[2] ?? "");
  const number = number_in(written);
  const scaled = scaled_unit(letters);
  if (number === null || scaled === null) return { error: "unreadable" };
  if (scaled.unit !== "" && scaled.unit !== unit) return { error: "wrong_unit" };
  const value = number * scaled.factor * 10 ** Number(power?.[2] ?? 0);
  const [lowest, highest] = limits[unit] ?? [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
  return value < lowest || value > highest ? { error: "impossible" } : { value };
}
