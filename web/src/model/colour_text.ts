// A wire colour as people type it: "RD/GN", "rd-gn", "red with green", or the letters of another country where every
// scheme that has them means the same.

import published from "../../../data/colours.csv";
import type { Colour } from "../api_types";
import { ink_of, letters } from "./colours";
import { cells_of } from "./csv";

const names = new Map<string, string>(letters.map((code) => [ink_of(code)?.name ?? code, code]));
for (const [name, code] of [
  ["gray", "GY"],
  ["purple", "VT"],
  ["tan", "BN"],
] as const)
  names.set(name, code);

function meanings(): Map<string, Set<string>> {
  const found = new Map<string, Set<string>>();
  for (const [scheme, code = "", colour = "", form] of cells_of(published, ",").slice(1)) {
    if (scheme === "IEC 60757" || (form !== "codes" && form !== "words" && form !== "names")) continue;
    const key = code.toLowerCase();
    found.set(key, (found.get(key) ?? new Set()).add(colour));
  }
  return found;
}

let by_code: Map<string, Set<string>> | null = null;

function one_colour(text: string): string | null {
  const word = text.trim().toLowerCase();
  const code = word.toUpperCase();
  if (letters.includes(code)) return code;
  const named = names.get(word);
  if (named) return named;
  by_code ??= meanings();
  const [only, another] = [...(by_code.get(word) ?? [])];
  return only !== undefined && another === undefined && letters.includes(only) ? only : null;
}

// The two colours of letters without a separator: "RDGN".
function pair(text: string): [string, string] | null {
  const word = text.trim();
  if (word.length !== 4) return null;
  const [base, tracer] = [one_colour(word.slice(0, 2)), one_colour(word.slice(2))];
  return base && tracer ? [base, tracer] : null;
}

// Undefined for an empty text, null for what is no colour.
export function colour_of(text: string): Colour | undefined | null {
  if (text.trim() === "") return undefined;
  const whole = one_colour(text);
  if (whole) return { base: whole };
  const together = pair(text);
  if (together) return { base: together[0], tracer: together[1] };
  const [first = "", second = "", ...more] = text
    .split(/\s*[/+\-_,]\s*|\s+with\s+|\s+and\s+|\s+/i)
    .filter((word) => !/^(stripe|tracer)$/i.test(word));
  const [base, tracer] = [one_colour(first), one_colour(second)];
  return more.length === 0 && base && tracer ? { base, tracer } : null;
}
