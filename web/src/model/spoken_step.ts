// A step of the test plan as it is spoken: where the leads go, and what the meter must show.

import type { ProbePoint, ProveTest } from "../api_types";
import { is_over_range } from "./proof";

const digit_words = ["nought", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"];
const teens = ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"];
const tens = ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];

const by_digit = (digits: string): string => [...digits].map((digit) => digit_words[Number(digit)]).join(" ");

function below_hundred(value: number): string {
  if (value < 10) return digit_words[value] ?? "";
  if (value < 20) return teens[value - 10] ?? "";
  const rest = value % 10;
  return `${tens[Math.floor(value / 10)]}${rest > 0 ? `-${digit_words[rest]}` : ""}`;
}

function whole(value: number): string {
  if (value >= 1000) return by_digit(String(value));
  const hundreds = Math.floor(value / 100);
  const rest = value % 100;
  if (hundreds === 0) return below_hundred(rest);
  return `${digit_words[hundreds]} hundred${rest > 0 ? ` and ${below_hundred(rest)}` : ""}`;
}

// "minus twelve point nought five"
export function spoken_number(value: number): string {
  const [before = "0", after = ""] = String(Number(Math.abs(value).toPrecision(3))).split(".");
  return `${value < 0 ? "minus " : ""}${whole(Number(before))}${after ? ` point ${by_digit(after)}` : ""}`;
}

const unit_words = { ohm: "ohm", V: "volt", A: "amp" } as const;

function spoken_amount(value: number, unit: keyof typeof unit_words): string {
  if (is_over_range(value, unit)) return "over range";
  const size = Math.abs(value);
  const steps: readonly (readonly [number, string])[] = [
    [1e6, "meg"],
    [1e3, "kilo"],
    [1, ""],
    [1e-3, "milli"],
  ];
  const small_ohms = value === 0 || (unit === "ohm" && size < 1);
  const [factor, prefix] = small_ohms ? [1, ""] : (steps.find(([from]) => size >= from * 0.9995) ?? [1e-3, "milli"]);
  const amount = Number((value / factor).toFixed(small_ohms ? 3 : 6));
  const word = prefix === "kilo" && unit === "ohm" ? "kilohm" : `${prefix}${unit_words[unit]}`;
  return `${spoken_number(amount)} ${word}${amount === 1 ? "" : "s"}`;
}

function spoken_band({ low, high, unit }: ProveTest["band"]): string {
  const open = high === null || is_over_range(high, unit);
  if (open && low !== null && is_over_range(low, unit)) return "over range";
  if (open) return low === null ? "anything" : `at least ${spoken_amount(low, unit)}`;
  if (low === null || (unit === "ohm" && low <= 0)) return `at most ${spoken_amount(high, unit)}`;
  return `between ${spoken_amount(low, unit)} and ${spoken_amount(high, unit)}`;
}

// Letters and digits of a plug or cavity, each by itself: thirteen and thirty sound alike in a workshop.
const spelled = (name: string): string =>
  name
    .replace(/\d/g, (digit) => ` ${digit_words[Number(digit)]} `)
    .replace(/[-_./:]+/g, " ")
    .replace(/\s+/g, " ")
    .trim();

// `name` is that of the plug or part; the body and the battery's posts need no cavity.
function spoken_point({ at, cavity, text }: ProbePoint, name: (id: string) => string): string {
  if (at === "battery +") return "battery plus";
  if (at === "battery -") return "battery minus";
  if (at === "body") return "body";
  if (at === "") return text;
  return cavity === "" ? spelled(name(at)) : `${spelled(name(at))}, ${spelled(cavity)}`;
}

export function spoken_step(test: ProveTest, name: (id: string) => string): string {
  const band = spoken_band(test.band);
  // One point only: a clamp around a wire.
  if (test.black_at.text === "") return `clamp ${test.red_at.text}, ${band}`;
  return `black on ${spoken_point(test.black_at, name)}, red on ${spoken_point(test.red_at, name)}, ${band}`;
}
