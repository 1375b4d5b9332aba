// The plan as a table, mistakes down and steps across: what is in it, what of it is shown. No drawing here.

import type { ProveFault, ProveReport, ProveTest, Reading } from "../api_types";
import { fate_of, type Fate } from "./proof";

export interface MatrixRow {
  faults: ProveFault[]; // at least one; the same steps show them all
  words: string;
  harm: string; // of the worst
  steps: number[]; // that show them, from 0, rising
}

export interface Matrix {
  steps: ProveTest[];
  rows: MatrixRow[];
}

const grades = ["none", "false_signal", "damage", "fire"];
export const does_harm = (harm: string): boolean => grades.indexOf(harm) >= grades.indexOf("damage");

export function worst_of(faults: readonly ProveFault[]): string {
  return grades[Math.max(0, ...faults.map((fault) => grades.indexOf(fault.harm)))] ?? "none";
}

export function matrix_of(report: ProveReport): Matrix {
  const faults = new Map(report.faults.map((fault) => [fault.id, fault]));
  const tests = new Map(report.tests.map((test) => [test.id, test]));
  const steps = report.plan.flatMap((id) => tests.get(id) ?? []);
  // All faults of a row have the same steps: the first of each speaks for the others.
  const row_of = new Map(report.matrix.map((ids, row) => [ids[0] ?? "", row]));
  const shown: number[][] = report.matrix.map(() => []);
  steps.forEach((test, step) => {
    for (const fault of test.exposes) {
      const row = row_of.get(fault);
      if (row !== undefined) shown[row]?.push(step);
    }
  });
  const rows = report.matrix.map((ids, row) => {
    const own = ids.flatMap((id) => faults.get(id) ?? []);
    const more = own.length > 1 ? ` (and ${own.length - 1} more)` : "";
    return { faults: own, words: `${own[0]?.words ?? ids[0] ?? ""}${more}`, harm: worst_of(own), steps: shown[row] ?? [] };
  });
  return { steps, rows };
}

export function fates_of(matrix: Matrix, latest: ReadonlyMap<string, Reading>): Fate[] {
  return matrix.steps.map((test) => fate_of(test, latest.get(test.id)));
}

export interface MatrixFilter {
  harmful: boolean; // could damage or burn
  unexposed: boolean; // no step shows it
  open: boolean; // no reading in band has ruled it out
  words: string;
}

export const no_filter: MatrixFilter = { harmful: false, unexposed: false, open: false, words: "" };

// Positions of the rows that pass, in the order of the table.
export function rows_shown(matrix: Matrix, fates: readonly Fate[], filter: MatrixFilter): number[] {
  const wanted = filter.words.trim().toLowerCase();
  return matrix.rows.flatMap((row, index) => {
    if (filter.harmful && !does_harm(row.harm)) return [];
    if (filter.unexposed && row.steps.length > 0) return [];
    if (filter.open && row.steps.some((step) => fates[step] === "in")) return [];
    if (wanted !== "" && !row.faults.some((fault) => fault.words.toLowerCase().includes(wanted))) return [];
    return [index];
  });
}

export const exposes = (row: MatrixRow | undefined, step: number): boolean => row?.steps.includes(step) ?? false;

// The next step along a row, or the next row down a column, that has a mark; where there is none, where it was.
export function next_mark(matrix: Matrix, shown: readonly number[], at: { row: number; step: number }, down: number, across: number): { row: number; step: number } {
  let { row, step } = at;
  for (;;) {
    row += down;
    step += across;
    if (row < 0 || row >= shown.length || step < 0 || step >= matrix.steps.length) return at;
    if (exposes(matrix.rows[shown[row] ?? -1], step)) return { row, step };
  }
}
