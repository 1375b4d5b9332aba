// What each stage has left to decide or do, and its worst finding.

import type { CompareReport, DesignReport, Grade, Graft, ProveReport, Reading } from "./api_types";
import { fate_of, latest_by_test } from "./model/proof";
import { candidates, disagreement, donor_module, found_module } from "./model/document";
import type { MarkName } from "./parts/mark";
import type { Stage } from "./route";

export interface Finding {
  left: number;
  mark: MarkName;
  word: string;
}

const nothing: Finding = { left: 0, mark: "none", word: "" };

export function gather_finding(doc: Graft): Finding {
  const found = found_module(doc);
  const missing = (found ? 0 : 1) + (candidates(doc).length > 0 ? 0 : 1);
  if (missing > 0) return { left: missing, mark: "unsure", word: found ? "no donor yet" : "no table yet" };
  const open = (found?.pins ?? []).filter((pin) => disagreement(pin)?.about === "kind").length;
  return open > 0 ? { left: open, mark: "unsure", word: "sources disagree" } : nothing;
}

export function choose_finding(doc: Graft): Finding {
  const donors = candidates(doc);
  const chosen = donors.some((module) => module.role === "donor");
  return donors.length > 1 && !chosen ? { left: 1, mark: "unsure", word: "not chosen" } : nothing;
}

const grades: Grade[] = ["fire", "damage", "false_signal"];
export const grade_words: Record<Grade, string> = {
  fire: "fire",
  damage: "damage",
  false_signal: "false signal",
  harmless: "harmless",
};

export function compare_finding(report: CompareReport | null): Finding {
  if (!report) return nothing;
  const worst = grades.find((grade) => report.circuits.some((circuit) => circuit.hazard.grade === grade));
  const left = report.questions.length;
  if (!worst || worst === "harmless") return { ...nothing, left };
  return { left, mark: worst, word: grade_words[worst] };
}

export function design_finding(report: DesignReport | null): Finding {
  if (!report) return nothing;
  const failing = report.circuits.filter((circuit) => !circuit.holds).length;
  const left = failing + report.back_feeds.length;
  if (left > 0) return { left, mark: "fails", word: failing > 0 ? "does not hold" : "back-feed" };
  const assumed = report.assumptions.length;
  return assumed > 0 ? { left: assumed, mark: "note", word: "to measure" } : nothing;
}

export function prove_finding(report: ProveReport | null, readings: readonly Reading[]): Finding {
  if (!report) return nothing;
  const latest = latest_by_test(readings);
  const tests = new Map(report.tests.map((test) => [test.id, test]));
  const steps = report.plan.flatMap((id) => tests.get(id) ?? []);
  const left = steps.filter((test) => !latest.has(test.id)).length;
  const out = steps.some((test) => fate_of(test, latest.get(test.id)) === "out");
  return out ? { left, mark: "fails", word: "out of band" } : { ...nothing, left };
}

export const stage_names: Record<Stage, string> = {
  gather: "Gather",
  identify: "Identify",
  choose: "Choose a donor",
  compare: "Compare",
  design: "Design",
  diagram: "Diagram",
  prove: "Prove",
  find: "Find the fault",
  history: "History",
};

export const compare_path = (doc: Graft): string | null => {
  const found = found_module(doc);
  const donor = donor_module(doc);
  if (!found || !donor) return null;
  return `/reports/compare?found=${encodeURIComponent(found.id)}&donor=${encodeURIComponent(donor.id)}`;
};

export const has_loom = (doc: Graft): boolean => (doc.wires?.length ?? 0) + (doc.plan?.length ?? 0) > 0;

export const design_path = (doc: Graft): string | null => (has_loom(doc) ? "/reports/design" : null);

export const prove_path = (doc: Graft): string | null => (has_loom(doc) ? "/reports/prove" : null);
