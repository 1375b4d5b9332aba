// A report that is not there yet: progress and a way to stop, or why there is none.

import type { ComponentChildren } from "preact";
import { stop_job, type Loaded } from "../net/report";
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

export function Empty({ title, children }: { title: string; children: ComponentChildren }) {
  return (
    <div class="sheet empty">
      <h2>{title}</h2>
      {children}
    </div>
  );
}
