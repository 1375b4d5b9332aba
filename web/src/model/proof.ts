// Readings against the bands of a test plan, and both as text. No drawing here.

import type { ProveReport, ProveTest, Reading } from "../api_types";
import type { MarkedReading } from "./reading";
import { condition_subject } from "./tick_subjects";
import { sign_of } from "./units";

export const unreached = "unreached"; // the unit of a reading that says: cannot be reached
export const over_range = 1e9;
const over_range_from = 5e7;

export type StepResult = "to_do" | "in_band" | "out_of_band" | "unreached";

// The latest reading of each test counts; earlier ones stay in the record.
export function latest_by_test<T extends Reading>(readings: readonly T[]): Map<string, T> {
  const latest = new Map<string, T>();
  for (const reading of readings) latest.set(reading.test, reading);
  return latest;
}

export function result_of(test: ProveTest, reading: Pick<Reading, "value" | "unit"> | undefined): StepResult {
  if (!reading) return "to_do";
  if (reading.unit === unreached) return "unreached";
  const { low, high, unit } = test.band;
  const value = reading.value;
  if (is_over_range(value, unit)) return high === null || high >= over_range_from ? "in_band" : "out_of_band";
  return (low === null || value >= low) && (high === null || value <= high) ? "in_band" : "out_of_band";
}

export const result_text: Record<StepResult, string> = {
  to_do: "to do",
  in_band: "in band",
  out_of_band: "out of band",
  unreached: "cannot be reached",
};

// Whether a reading has a value that somebody read off a meter.
export const has_value = (reading: MarkedReading): boolean => reading.unit !== unreached && !reading.in_band_only;

const prefixes: readonly (readonly [number, string])[] = [
  [1e6, "M"],
  [1e3, "k"],
  [1, ""],
  [1e-3, "m"],
];

export const is_over_range = (value: number, unit: string): boolean => unit === "ohm" && value >= over_range_from;

// Three digits, as a meter shows them. Below one ohm the unit stays Ω: mΩ and MΩ are too easily confused.
export function amount(value: number, unit: string): string {
  if (is_over_range(value, unit)) return "over range";
  const size = Math.abs(value);
  const below_one_ohm = unit === "ohm" && size < 0.9995;
  const [factor, prefix] = value === 0 || below_one_ohm ? [1, ""] : (prefixes.find(([from]) => size >= from * 0.9995) ?? [1e-3, "m"]);
  const shown = below_one_ohm ? Number(value.toFixed(3)) : Number((value / factor).toPrecision(3));
  return `${shown} ${prefix}${sign_of(unit)}`;
}

// With a capital first letter, as a sentence or a line of a list has.
export const sentence = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

export function band_text(test: ProveTest): string {
  const { low, high, unit } = test.band;
  const open = high === null || (unit === "ohm" && high >= over_range_from);
  if (open && low !== null && is_over_range(low, unit)) return "over range";
  if (open) return low === null ? "anything" : `at least ${amount(low, unit)}`;
  if (low === null || (unit === "ohm" && low <= 0)) return `at most ${amount(high, unit)}`;
  return `${amount(low, unit)} to ${amount(high, unit)}`;
}

// The units that can be chosen for the number, as the meter shows them.
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
  kind: "condition" | "test";
  id: string; // of the condition or test
  number: number; // of the test in the plan, from 1
}

// A step in the address of the page.
export const step_key = ({ kind, id }: Pick<Step, "kind" | "id">): string => `${kind}:${id}`;

// The plan as screens: a change of what is unplugged or switched has a screen of its own.
export function steps_of(report: ProveReport): Step[] {
  const tests = new Map(report.tests.map((test) => [test.id, test]));
  const steps: Step[] = [];
  let condition = "";
  report.plan.forEach((id, index) => {
    const test = tests.get(id);
    if (!test) return;
    if (test.condition !== condition) steps.push({ kind: "condition", id: test.condition, number: index + 1 });
    condition = test.condition;
    steps.push({ kind: "test", id, number: index + 1 });
  });
  return steps;
}

// Where to continue: the first test without a reading, or the change of condition before it if that is not ticked.
export function first_open_step(steps: readonly Step[], latest: ReadonlyMap<string, Reading>, ticks: ReadonlySet<string>): Step | null {
  const at = steps.findIndex((step) => step.kind === "test" && !latest.has(step.id));
  if (at < 0) return null;
  const before = steps[at - 1];
  if (before?.kind === "condition" && !ticks.has(condition_subject(before.id))) return before;
  return steps[at] ?? null;
}
