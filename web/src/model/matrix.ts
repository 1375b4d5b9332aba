// The plan as a table with a row for each fault and a column for each step: its cells, and the rows that a filter leaves.
// No drawing here.

import { type Harm, harms, type ProveFault, type ProveReport, type ProveTest, type Reading } from "../api_types";
import { result_of, type StepResult } from "./proof";

export interface MatrixRow {
  faults: ProveFault[]; // at least one; the same steps detect them all
  text: string;
  harm: Harm; // of the worst
  steps: number[]; // that detect them, from 0, ascending
}

export interface Matrix {
  steps: ProveTest[];
  rows: MatrixRow[];
}

const does_harm = (harm: Harm): boolean => harms.indexOf(harm) >= harms.indexOf("damage");

function worst_of(faults: readonly ProveFault[]): Harm {
  return harms[Math.max(0, ...faults.map((fault) => harms.indexOf(fault.harm)))] ?? "none";
}

export function matrix_of(report: ProveReport): Matrix {
  const faults = new Map(report.faults.map((fault) => [fault.id, fault]));
  const tests = new Map(report.tests.map((test) => [test.id, test]));
  const steps = report.plan.flatMap((id) => tests.get(id) ?? []);
  // All faults of a row have the same steps: the first one is enough.
  const row_of = new Map(report.matrix.map((ids, row) => [ids[0] ?? "", row]));
  const steps_by_row: number[][] = report.matrix.map(() => []);
  steps.forEach((test, step) => {
    for (const fault of test.exposes) {
      const row = row_of.get(fault);
      if (row !== undefined) steps_by_row[row]?.push(step);
    }
  });
  const rows = report.matrix.map((ids, row) => {
    const own = ids.flatMap((id) => faults.get(id) ?? []);
    const more = own.length > 1 ? ` (and ${own.length - 1} more)` : "";
    return { faults: own, text: `${own[0]?.text ?? ids[0] ?? ""}${more}`, harm: worst_of(own), steps: steps_by_row[row] ?? [] };
  });
  return { steps, rows };
}

export function results_of(matrix: Matrix, latest: ReadonlyMap<string, Reading>): StepResult[] {
  return matrix.steps.map((test) => result_of(test, latest.get(test.id)));
}

export interface MatrixFilter {
  harmful: boolean; // could damage or burn
  unexposed: boolean; // no step detects it
  open: boolean; // no reading in band has ruled it out
  text: string; // that a fault's description must contain
}

export const no_filter: MatrixFilter = { harmful: false, unexposed: false, open: false, text: "" };

// Indexes of the rows that the filter leaves, in the order of the table.
export function rows_shown(matrix: Matrix, results: readonly StepResult[], filter: MatrixFilter): number[] {
  const wanted = filter.text.trim().toLowerCase();
  return matrix.rows.flatMap((row, index) => {
    if (filter.harmful && !does_harm(row.harm)) return [];
    if (filter.unexposed && row.steps.length > 0) return [];
    if (filter.open && row.steps.some((step) => results[step] === "in_band")) return [];
    if (wanted !== "" && !row.faults.some((fault) => fault.text.toLowerCase().includes(wanted))) return [];
    return [index];
  });
}

export const exposes = (row: MatrixRow | undefined, step: number): boolean => row?.steps.includes(step) ?? false;

// The next step along a row, or the next row down a column, that has a mark; `at` itself if there is none.
export function next_mark(
  matrix: Matrix,
  shown: readonly number[],
  at: { row: number; step: number },
  down: number,
  across: number,
): { row: number; step: number } {
  let { row, step } = at;
  for (;;) {
    row += down;
    step += across;
    if (row < 0 || row >= shown.length || step < 0 || step >= matrix.steps.length) return at;
    if (exposes(matrix.rows[shown[row] ?? -1], step)) return { row, step };
  }
}
