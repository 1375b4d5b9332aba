// A report that is not there yet: progress and a way to stop, or why there is none.

import type { ComponentChildren } from "preact";
import { stage_names } from "../findings";
import { stop_job, type Loaded } from "../net/report";
import { route, route_to, type Stage } from "../route";
import { Problems } from "./problems";

export function Waiting({ report, what }: { report: Loaded<unknown>; what: string }) {
  const { job, problems, value } = report;
  return (
    <>
      {job && (
        <p class="job" role="status">
          <progress max={1} value={job.progress} aria-label={what} /> {job.words || what}{" "}
          <button type="button" onClick={() => void stop_job(job.id)}>
            Stop
          </button>
        </p>
      )}
      <Problems list={problems} />
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
