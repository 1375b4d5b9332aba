// Problems, each with its place and what to do.

import type { Problem } from "../api_types";
import { Mark, mark_of_severity } from "./mark";

export function place_of(problem: Problem): string {
  if (problem.line) return `line ${problem.line}${problem.column ? `, column ${problem.column}` : ""}`;
  return problem.pointer ?? "";
}

export function Problems({ list, title }: { list: Problem[]; title?: string }) {
  if (list.length === 0) return null;
  return (
    <section class="problems" aria-label={title ?? "Problems"}>
      {title && <h3>{title}</h3>}
      <ul>
        {list.map((problem, index) => (
          <li key={index}>
            <Mark name={mark_of_severity(problem.severity)} word={problem.severity} />
            <span>
              {problem.message} {problem.remedy && <em>{problem.remedy}</em>} <span class="soft">{place_of(problem)}</span>
            </span>
          </li>
        ))}
      </ul>
    </section>
  );
}
