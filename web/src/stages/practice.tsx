// Practising: a loom with a hidden mistake, whose meter the program plays. Marked on every screen it touches.

import { signal } from "@preact/signals";
import type { Graft, Practice, ProveReport, Reading } from "../api_types";
import { practised } from "../model/proof";
import { useReport } from "../net/report";

// Per tab: the fault that is hidden, by graft.
const key = (graft: string) => `loomgraft.practice.${graft}`;
const version = signal(0);

export function hidden_fault(graft: string): string {
  void version.value;
  return sessionStorage.getItem(key(graft)) ?? "";
}

export function hide_fault(graft: string, fault: string): void {
  if (fault) sessionStorage.setItem(key(graft), fault);
  else sessionStorage.removeItem(key(graft));
  version.value += 1;
}

// A mistake worth the walk: two added wires in each other's place, that power would have harmed.
export function usual_mistake(report: ProveReport, doc: Graft): string {
  const added = new Set((doc.plan ?? []).flatMap((step) => step.added?.id ?? []));
  const swaps = report.faults.filter(
    (fault) => fault.kind === "swapped_wires" && fault.subjects.filter((subject) => added.has(subject)).length === 2,
  );
  return (swaps.find((fault) => fault.harm === "damage" || fault.harm === "fire") ?? swaps[0] ?? report.faults[0])?.id ?? "";
}

export function use_practice(graft: string): Map<string, number> {
  const fault = hidden_fault(graft);
  const report = useReport<Practice>(fault ? `/reports/practice?fault=${encodeURIComponent(fault)}` : null);
  return new Map((fault ? (report.value?.readings ?? []) : []).map((reading) => [reading.test, reading.value]));
}

export function PracticeBanner({ graft, readings }: { graft: string; readings: readonly Reading[] }) {
  const count = readings.filter((reading) => reading.id.startsWith(practised)).length;
  const on = hidden_fault(graft) !== "";
  if (!on && count === 0) return null;
  return (
    <p class="practice" role="note">
      <strong>Practice.</strong>{" "}
      {on ? "The meter is played by the program, on a loom with a hidden mistake." : ""}{" "}
      {count > 0 ? `${count} of the readings here ${count === 1 ? "is" : "are"} practice, not measured.` : ""}{" "}
      {on && (
        <button type="button" class="no-print" onClick={() => hide_fault(graft, "")}>
          End the practice
        </button>
      )}
    </p>
  );
}
