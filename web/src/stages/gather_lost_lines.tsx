// Lines and tables of a file that look like pins and were not read: they are answered before anything is taken in.

import type { Problem, ReadReport } from "../api_types";
import { Problems } from "../parts/problems";

export const lost_lines = (report: ReadReport): Problem[] =>
  report.problems.filter(({ code, severity }) => severity === "warning" && (code === "table-skipped" || code === "line-not-read"));

interface Props {
  lost: Problem[];
  answered: boolean;
  answer: (looked: boolean) => void;
}

export function LostLines({ lost, answered, answer }: Props) {
  if (lost.length === 0) return null;
  return (
    <div class="stack">
      <Problems list={lost} title="Not read, though it looks like pins" />
      <label class="tickbox">
        <input type="checkbox" required checked={answered} onChange={(event) => answer(event.currentTarget.checked)} />
        <span>I have looked: nothing of this is missing here</span>
      </label>
    </div>
  );
}
