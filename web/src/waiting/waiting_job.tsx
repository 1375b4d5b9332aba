// What waits for one job, why, and the way to another job if this one is gone.

import { useState } from "preact/hooks";
import type { GraftEntry } from "../api_types";
import { counts_text, type WaitingFor } from "../model/waiting_text";
import { move_entries } from "../net/waiting";
import { Select } from "../parts/field";
import { route, route_to } from "../route";

export const job_name = (graft: string, jobs: readonly GraftEntry[] | null): string =>
  jobs?.find((job) => job.name === graft)?.title || graft;

function SendElsewhere({ graft, jobs }: { graft: string; jobs: readonly GraftEntry[] }) {
  const [wanted, set_wanted] = useState("");
  const others = jobs.filter((job) => job.name !== graft && !job.problems);
  if (others.length === 0) return null;
  const choices = [["", "choose a job"] as const, ...others.map((job) => [job.name, job.title || job.name] as const)];
  return (
    <div class="row">
      <Select label="Its file has another name now" value={wanted} choices={choices} take={set_wanted} />
      <button type="button" disabled={wanted === ""} onClick={() => void move_entries(graft, wanted)}>
        Send to this job
      </button>
    </div>
  );
}

export function WaitingJob({ row, jobs }: { row: WaitingFor; jobs: readonly GraftEntry[] | null }) {
  const missing = jobs !== null && !jobs.some((job) => job.name === row.graft);
  const closed = row.edits > 0 && route.value.graft !== row.graft;
  return (
    <li class="stack" data-graft={row.graft}>
      <span>
        <strong>{job_name(row.graft, jobs)}</strong>: {counts_text(row)}
      </span>
      {row.reason && <span class="danger-text">Not taken now: {row.reason} It is tried again.</span>}
      {!row.reason && missing && <span class="danger-text">There is no job of this name in the folder now.</span>}
      {closed && !missing && (
        <span>
          Edits are sent while their job is open: <a href={route_to(row.graft, "gather")}>open it</a>.
        </span>
      )}
      {missing && jobs && <SendElsewhere graft={row.graft} jobs={jobs} />}
    </li>
  );
}
