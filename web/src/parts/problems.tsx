// Problems, each with its location and what to do.

import { useState } from "preact/hooks";
import type { Problem } from "../api_types";
import { Mark, mark_of_severity } from "./mark";
import { black_ink } from "./print";

export function location_of(problem: Problem): string {
  if (problem.place) return problem.place;
  if (problem.line) return `line ${problem.line}${problem.column ? `, column ${problem.column}` : ""}`;
  return problem.pointer ?? "";
}

const shown_at_first = 6;

export function Problems({ list, title }: { list: Problem[]; title?: string }) {
  const [all, set_all] = useState(false);
  if (list.length === 0) return null;
  // A fault in a column gives a problem for each row: a long list would push what follows out of sight.
  const shown = all || black_ink.value ? list : list.slice(0, shown_at_first);
  return (
    <section class="problems" aria-label={title ?? "Problems"}>
      {title && <h3>{title}</h3>}
      <ul>
        {shown.map((problem, index) => (
          <li key={index}>
            <Mark name={mark_of_severity(problem.severity)} text={problem.severity} />
            <span>
              {problem.message} {problem.remedy && <em>{problem.remedy}</em>} <span class="soft">{location_of(problem)}</span>
            </span>
          </li>
        ))}
      </ul>
      {shown.length < list.length && (
        <button type="button" class="no-print" onClick={() => set_all(true)}>
          Show all {list.length}
        </button>
      )}
    </section>
  );
}
