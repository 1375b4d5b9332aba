// A report that is not there yet: its progress with a stop button, or why there is none.

import type { ComponentChildren } from "preact";
import { stage_names } from "../findings";
import { type Report, stop_job } from "../net/report";
import { route, route_to, type Stage } from "../route";
import { Problems } from "./problems";

export function ReportStatus({ report, what }: { report: Report<unknown>; what: string }) {
  const { job, problems, value, again } = report;
  return (
    <>
      {job && (
        <p class="job" role="status">
          <progress max={1} value={job.progress} aria-label={what} /> {what}
          {job.text && `: ${job.text}`} …{" "}
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

// A stage that has nothing to show yet: what will be here, and a link to the stage that comes first.
export function Empty({ title, first, children }: { title: string; first: Stage; children: ComponentChildren }) {
  return (
    <div class="sheet stack empty">
      <h2>{title}</h2>
      {children}
      <p>
        <a class="button primary" href={route_to(route.value.graft, first)}>
          Go to {stage_names[first]}
        </a>
      </p>
    </div>
  );
}
