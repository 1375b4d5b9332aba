// Marks that differ in shape, each with its text beside it. Colour only repeats what shape and text say.

import type { Grade, Severity, Verdict } from "../api_types";
import type { StepResult } from "../model/proof";

export type MarkName = Verdict | Exclude<Grade, "harmless"> | "passes" | "fails" | "note" | "none";

const strokes: Record<MarkName, string> = {
  keep: "M3 8.5L6.5 12L13 4",
  passes: "M3 8.5L6.5 12L13 4",
  shift: "M2 8H13M9 4L13 8L9 12",
  add: "M8 2.5V13.5M2.5 8H13.5",
  retire: "M3.5 3.5L12.5 12.5M12.5 3.5L3.5 12.5",
  clash: "M8 1.5L15 14.5H1Z M8 6V10 M8 12V12.6",
  fails: "M8 1.5L15 14.5H1Z M8 6V10 M8 12V12.6",
  damage: "M8 1.5L15 14.5H1Z M8 6V10 M8 12V12.6",
  injury: "M8 1.5L15 14.5H1Z M8 6V10 M8 12V12.6",
  fire: "M8 1C9 5 13 6 12.5 10.5C12 14 9.5 15 8 15C5.5 15 3.5 13 3.5 10.5C3.5 8 5 7.5 5.5 5C7 6 7.5 7 7.5 8.5C8.7 6.5 8.5 4 8 1Z",
  false_signal: "M1.5 11L4.5 5L7.5 11L10.5 5L13.5 11",
  unsure: "M5.5 5.500C5.5 2.5 10.5 2.5 10.5 5.700C10.5 8 8 7.8 8 10M8 12.500V13.2",
  note: "M8 2A6 6 0 1 1 7.9 2 M8 7V12 M8 4.300V5",
  none: "",
};

const texts: Record<MarkName, string> = {
  keep: "keep",
  shift: "shift",
  add: "add",
  retire: "retire",
  clash: "clash",
  unsure: "unsure",
  fire: "fire",
  damage: "damage",
  injury: "injury",
  false_signal: "false signal",
  passes: "passes",
  fails: "fails",
  note: "note",
  none: "",
};

export const mark_text = (name: MarkName): string => texts[name];

export const mark_of_grade = (grade: Grade): MarkName => (grade === "harmless" ? "none" : grade);

export const mark_of_result: Record<StepResult, MarkName> = {
  to_do: "none",
  in_band: "passes",
  out_of_band: "fails",
  unreached: "unsure",
};

export function mark_of_severity(severity: Severity): MarkName {
  return severity === "error" ? "fails" : severity === "warning" ? "clash" : "note";
}

// `bare` shows the mark alone and leaves its text to screen readers.
export function Mark({ name, bare = false, text = texts[name] }: { name: MarkName; bare?: boolean; text?: string }) {
  if (name === "none") return null;
  return (
    <span class={`mark mark-${name}`}>
      <svg viewBox="0 0 16 16" width="16" height="16" aria-hidden="true" focusable="false">
        <path d={strokes[name]} fill="none" stroke="currentColor" stroke-width="1.9" stroke-linecap="round" stroke-linejoin="round" />
      </svg>
      {bare ? <span class="visually-hidden">{text}</span> : <span>{text}</span>}
    </span>
  );
}
