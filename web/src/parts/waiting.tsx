// A report that is not there yet: progress and a way to stop, or why there is none.

import type { ComponentChildren } from "preact";
import { stage_names } from "../findings";
import { stop_job, type Report } from "../net/report";
import { route, route_to, type Stage } from "../route";
import { Problems } from "./problems";

// Before the first word of its own a job only says that it is at work: what at, the page knows better.
const words_of = (words: string): string => (words === "computing" ? "" : words);

export function Waiting({ report, what }: { report: Report<unknown>; what: string }) {
  const { job, problems, value, again } = report;
  return (
    <>
      {job && (
        <p class="job" role="status">
          <progress max={1} value={job.progress} aria-label={what} /> {words_of(job.words) || what} …{" "}
          <button type="button" onClick={() => void stop_job(job.id)}>
            Stop
          </button>
        </p>
      )}
      <Problems list={problems} />
      {problems.length > 0 && !job && (
        <p class="no-print">
          <button type="button" onClick={again}>
            {what}: try again
          </button>
        </p>
      )}
      {!value && !job && problems.length === 0 && (
        <p class="soft" role="status">
          {what} …
        </p>
      )}
    </>
  );
}

// A stage that has nothing to show yet: what will stand here, and the stage to go to for it.
export function Empty({ title, first, children }: { title: string; first: Stage; children: ComponentChildren }) {
  return (
    <div class="sheet stack empty">
      <h2>{title}</h2>
      {children}
      <p>
        <a class="button first" href={route_to(route.value.graft, first)}>
          To {stage_names[first]}
        </a>
      </p>
    </div>
  );
}
