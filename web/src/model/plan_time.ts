// What a plan buys in the time at hand, and what its readings have bought so far. No drawing here.

import type { Harm, ProveReport } from "../api_types";
import { result_of } from "./proof";
import type { MarkedReading } from "./reading";

export interface Unproved {
  steps: number;
  minutes: number;
  unproved: number; // share of the odds of all faults
  harmful: number; // the same of what could burn or break something
  worst_text: string;
}

const with_steps = (report: ProveReport, steps: number): Unproved => {
  const point = report.curve[steps];
  return point
    ? { steps, minutes: point.minutes, unproved: point.unproved, harmful: point.harmful, worst_text: point.worst_text }
    : { steps: 0, minutes: 0, unproved: 1, harmful: 1, worst_text: "" };
};

// After the last step that ends within so many minutes.
export function within(report: ProveReport, minutes: number): Unproved {
  let steps = 0;
  for (const [index, point] of report.curve.entries()) if (point.minutes <= minutes + 1e-6) steps = index;
  return with_steps(report, steps);
}

export const after_all = (report: ProveReport): Unproved => with_steps(report, report.curve.length - 1);

// The minute at which the first condition with power begins; all of the plan if none does.
export function power_from(report: ProveReport): number {
  const live = new Set(report.conditions.filter((condition) => condition.live).map((condition) => condition.id));
  const tests = new Map(report.tests.map((test) => [test.id, test]));
  const first = report.plan.findIndex((id) => live.has(tests.get(id)?.condition ?? ""));
  return first < 0 ? after_all(report).minutes : (report.curve[first]?.minutes ?? 0);
}

const severity: readonly Harm[] = ["none", "false_signal", "damage", "fire"];
const could: Record<Harm, string> = {
  fire: "could start a fire",
  damage: "could break a part",
  false_signal: "could give a false signal",
  none: "would only stop something from working",
};

// By the readings that are in band, whatever their order.
export function proved_so_far(report: ProveReport, latest: ReadonlyMap<string, MarkedReading>): Unproved {
  const shown = new Set<string>();
  let steps = 0;
  for (const test of report.tests) {
    if (result_of(test, latest.get(test.id)) !== "in_band") continue;
    steps += report.plan.includes(test.id) ? 1 : 0;
    for (const fault of test.exposes) shown.add(fault);
  }
  const odds = (faults: ProveReport["faults"]) => faults.reduce((sum, fault) => sum + fault.prior, 0);
  const share = (faults: ProveReport["faults"]) =>
    faults.length === 0 ? 0 : odds(faults.filter((fault) => !shown.has(fault.id))) / odds(faults);
  const left = report.faults.filter((fault) => !shown.has(fault.id));
  const worst = severity[Math.max(-1, ...left.map((fault) => severity.indexOf(fault.harm)))] ?? "none";
  const as_bad = left.filter((fault) => fault.harm === worst).sort((one, other) => other.prior - one.prior);
  const harmful = report.faults.filter((fault) => fault.harm === "damage" || fault.harm === "fire");
  const text =
    as_bad.length === 0
      ? "Nothing that was looked for is left."
      : as_bad.length === 1
        ? `One fault left ${could[worst]}: ${as_bad[0]?.text}.`
        : `${as_bad.length} faults left ${could[worst]}, such as: ${as_bad[0]?.text}.`;
  return { steps, minutes: 0, unproved: share(report.faults), harmful: share(harmful), worst_text: text };
}

// "3 %"; never "0 %" for something.
export const percent = (share: number): string =>
  share <= 0 ? "0 %" : share < 0.01 ? "less than 1 %" : share > 0.99 && share < 1 ? "over 99 %" : `${Math.round(100 * share)} %`;
