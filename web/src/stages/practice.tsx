// Practice: a loom with a hidden fault, whose meter readings the program computes. Marked on every screen where it is used.

import { signal } from "@preact/signals";
import type { Graft, Practice, ProveReport } from "../api_types";
import type { MarkedReading } from "../model/reading";
import { use_report } from "../net/report";
import { drop_practice_readings } from "../practice_readings";

// The hidden fault of each graft, kept for this tab.
const key = (graft: string) => `loomgraft.practice.${graft}`;
const version = signal(0);

export function hidden_fault(graft: string): string {
  void version.value;
  return sessionStorage.getItem(key(graft)) ?? "";
}

export function hide_fault(graft: string, fault: string): void {
  drop_practice_readings(graft);
  if (fault) sessionStorage.setItem(key(graft), fault);
  else sessionStorage.removeItem(key(graft));
  version.value += 1;
}

// A fault that is worth practising: two added wires swapped, so that power would do harm.
export function practice_fault(report: ProveReport, doc: Graft): string {
  const added = new Set((doc.plan ?? []).flatMap((step) => step.added?.id ?? []));
  const swaps = report.faults.filter(
    (fault) => fault.kind === "swapped_wires" && fault.subjects.filter((subject) => added.has(subject)).length === 2,
  );
  return (swaps.find((fault) => fault.harm === "damage" || fault.harm === "fire") ?? swaps[0] ?? report.faults[0])?.id ?? "";
}

export function use_practice(graft: string): Map<string, number> {
  const fault = hidden_fault(graft);
  const report = use_report<Practice>(fault ? `/reports/practice?fault=${encodeURIComponent(fault)}` : null);
  return new Map((fault ? (report.value?.readings ?? []) : []).map((reading) => [reading.test, reading.value]));
}

// The practice readings while practising, else the measured ones: never both.
export function readings_in_use(graft: string, readings: readonly MarkedReading[]): MarkedReading[] {
  const practising = hidden_fault(graft) !== "";
  return readings.filter((reading) => (reading.practice === true) === practising);
}

export function PracticeBanner({ graft, readings }: { graft: string; readings: readonly MarkedReading[] }) {
  const count = readings.filter((reading) => reading.practice).length;
  if (hidden_fault(graft) === "") return null;
  return (
    <p class="practice" role="note">
      <strong>Practice.</strong> The program plays the meter, on a loom with a hidden fault.{" "}
      {count > 0 ? `${count} of the readings here ${count === 1 ? "is" : "are"} from practice, not measured.` : ""} Nothing of it is saved.{" "}
      <button type="button" class="no-print" onClick={() => hide_fault(graft, "")}>
        End practice
      </button>
    </p>
  );
}
