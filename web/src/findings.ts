// What each stage has left to decide or do, and its worst finding.

import type { CompareReport, DesignReport, Grade, Graft, ProveReport, Reading } from "./api_types";
import { fails_design } from "./model/circuit_verdict";
import { candidates, disagreement, donor_module, found_module } from "./model/document";
import { latest_by_test, result_of } from "./model/proof";
import { type MarkName, mark_text } from "./parts/mark";
import type { Stage } from "./route";

export const check_path = "/reports/check";

export interface Finding {
  to_do: number;
  mark: MarkName;
  text: string;
}

const nothing: Finding = { to_do: 0, mark: "none", text: "" };

export function gather_finding(doc: Graft): Finding {
  const found = found_module(doc);
  const missing = (found ? 0 : 1) + (candidates(doc).length > 0 ? 0 : 1);
  if (missing > 0) return { to_do: missing, mark: "unsure", text: found ? "no donor yet" : "no table yet" };
  const open = (found?.pins ?? []).filter((pin) => disagreement(pin)?.about === "class").length;
  return open > 0 ? { to_do: open, mark: "unsure", text: "sources disagree" } : nothing;
}

export function choose_finding(doc: Graft): Finding {
  const donors = candidates(doc);
  const chosen = donors.some((module) => module.role === "donor");
  return donors.length > 1 && !chosen ? { to_do: 1, mark: "unsure", text: "not chosen" } : nothing;
}

const grades: Grade[] = ["fire", "injury", "damage", "false_signal"];

export function compare_finding(report: CompareReport | null): Finding {
  if (!report) return nothing;
  const worst = grades.find((grade) => report.circuits.some(({ hazard, loss }) => hazard.grade === grade || loss?.grade === grade));
  const to_do = report.questions.length;
  if (!worst || worst === "harmless") return { ...nothing, to_do };
  return { to_do, mark: worst, text: mark_text(worst) };
}

export function design_finding(report: DesignReport | null): Finding {
  if (!report) return nothing;
  const failing = report.circuits.filter(fails_design).length;
  const to_do = failing + report.back_feeds.length;
  if (to_do > 0) return { to_do, mark: "fails", text: failing > 0 ? "fails" : "back-feed" };
  const assumed = report.assumptions.length;
  return assumed > 0 ? { to_do: assumed, mark: "note", text: "to measure" } : nothing;
}

export function prove_finding(report: ProveReport | null, readings: readonly Reading[]): Finding {
  if (!report) return nothing;
  const latest = latest_by_test(readings);
  const tests = new Map(report.tests.map((test) => [test.id, test]));
  const steps = report.plan.flatMap((id) => tests.get(id) ?? []);
  const to_do = steps.filter((test) => !latest.has(test.id)).length;
  const out = steps.some((test) => result_of(test, latest.get(test.id)) === "out_of_band");
  return out ? { to_do, mark: "fails", text: "out of band" } : { ...nothing, to_do };
}

export const stage_names: Record<Stage, string> = {
  gather: "Gather",
  identify: "Identify",
  choose: "Choose a donor",
  compare: "Compare",
  circuits: "Circuits",
  loom: "Loom",
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
