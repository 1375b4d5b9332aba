// Readings against the bands of a test plan, and both in words. No drawing here.

import type { ProveReport, ProveTest, Reading } from "../api_types";

export const unreached = "unreached";
export const over_range = 1e9;
const over_range_from = 5e7;
// A reading of which only "in band" was said has this at the front of its id: its value is the plan's, not the meter's.
export const said_in_band = "in-band-";
export const practised = "practice-";

export type Fate = "none" | "in" | "out" | "unreached";

// The latest reading of each test counts; earlier ones stay in the record.
export function latest_by_test(readings: readonly Reading[]): Map<string, Reading> {
  const latest = new Map<string, Reading>();
  for (const reading of readings) latest.set(reading.test, reading);
  return latest;
}

export function fate_of(test: ProveTest, reading: Reading | undefined): Fate {
  if (!reading) return "none";
  if (reading.unit === unreached) return "unreached";
  const { low, high, unit } = test.band;
  const value = reading.value;
  const over = unit === "ohm" && value >= over_range_from;
  if (over) return high === null || high >= over_range_from ? "in" : "out";
  return (low === null || value >= low) && (high === null || value <= high) ? "in" : "out";
}

export const fate_words: Record<Fate, string> = { none: "to do", in: "in band", out: "out of band", unreached: "cannot be reached" };

const prefixes: readonly (readonly [number, string])[] = [
  [1e6, "M"],
  [1e3, "k"],
  [1, ""],
  [1e-3, "m"],
];

// As it stands on the meter's dial.
const sign_of = (unit: string): string => (unit === "ohm" ? "Ω" : unit);

// Three digits, as a meter shows them. Thousandths of an ohm are no range of a meter: mΩ and MΩ are too easily confused.
export function amount(value: number, unit: string): string {
  if (unit === "ohm" && value >= over_range_from) return "over range";
  const size = Math.abs(value);
  const ohms_below_one = unit === "ohm" && size < 0.9995;
  const [factor, prefix] = value === 0 || ohms_below_one ? [1, ""] : (prefixes.find(([from]) => size >= from * 0.9995) ?? [1e-3, "m"]);
  const shown = ohms_below_one ? Number(value.toFixed(3)) : Number((value / factor).toPrecision(3));
  return `${shown} ${prefix}${sign_of(unit)}`;
}

// Begins with a capital, as a sentence or a line of a list does.
export const sentence = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

export function band_words(test: ProveTest): string {
  const { low, high, unit } = test.band;
  const open = high === null || (unit === "ohm" && high >= over_range_from);
  if (open && unit === "ohm" && low !== null && low >= over_range_from) return "over range";
  if (open) return low === null ? "anything" : `at least ${amount(low, unit)}`;
  if (low === null || (unit === "ohm" && low <= 0)) return `at most ${amount(high, unit)}`;
  return `${amount(low, unit)} to ${amount(high, unit)}`;
}

// What can be chosen beside the number, as the meter shows it.
export const units_of = (unit: string): readonly (readonly [string, number])[] =>
  unit === "ohm"
    ? [
        ["Ω", 1],
        ["kΩ", 1e3],
        ["MΩ", 1e6],
      ]
    : unit === "A"
      ? [
          ["A", 1],
          ["mA", 1e-3],
        ]
      : [
          ["V", 1],
          ["mV", 1e-3],
        ];

export interface Step {
  kind: "state" | "test";
  id: string; // of the condition or test
  number: number; // of the test in the plan, from 1
}

// The plan as screens: a change of what is unplugged or switched is one of its own.
export function steps_of(report: ProveReport): Step[] {
  const tests = new Map(report.tests.map((test) => [test.id, test]));
  const steps: Step[] = [];
  let condition = "";
  report.plan.forEach((id, index) => {
    const test = tests.get(id);
    if (!test) return;
    if (test.condition !== condition) steps.push({ kind: "state", id: test.condition, number: index + 1 });
    condition = test.condition;
    steps.push({ kind: "test", id, number: index + 1 });
  });
  return steps;
}

export const state_subject = (condition: string) => `state:${condition}`;

// Where to go on: the first test without a reading, at its change of state if that is not done.
export function resume_at(steps: readonly Step[], latest: ReadonlyMap<string, Reading>, ticks: ReadonlySet<string>): Step | null {
  const at = steps.findIndex((step) => step.kind === "test" && !latest.has(step.id));
  if (at < 0) return null;
  const before = steps[at - 1];
  if (before?.kind === "state" && !ticks.has(state_subject(before.id))) return before;
  return steps[at] ?? null;
}
