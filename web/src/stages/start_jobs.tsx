// The jobs of this folder as job cards, the latest first.

import { useEffect, useState } from "preact/hooks";
import type { Graft, GraftEntry } from "../api_types";
import { job_line, vehicle_line } from "../model/job_text";
import { first_task } from "../model/next_step";
import { ask, graft_path } from "../net/request";
import { Problems } from "../parts/problems";
import { route_to } from "../route";
import { Copies } from "./copies";

const when = (time: string) => {
  const date = new Date(time);
  return Number.isNaN(date.getTime()) ? time : date.toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
};

// The list has no vehicle: it is read from the documents of the jobs that were changed last.
const looked_into = 8;

function use_document(entry: GraftEntry, wanted: boolean): Graft | null {
  const [doc, set_doc] = useState<Graft | null>(null);
  useEffect(() => {
    if (!wanted || entry.problems) return;
    const control = new AbortController();
    void ask<Graft>(graft_path(entry.name), { signal: control.signal }).then((answer) => {
      if (answer.ok && !control.signal.aborted) set_doc(answer.value);
    });
    return () => control.abort();
  }, [entry.name, entry.revision, wanted]);
  return doc;
}

function JobCard({ entry, look }: { entry: GraftEntry; look: boolean }) {
  const doc = use_document(entry, look);
  const next = doc && first_task(doc);
  return (
    <li class="sheet card job-card">
      <a href={route_to(entry.name, next?.stage ?? "gather")}>{entry.title || entry.name}</a>
      <Problems list={entry.remarks ?? []} />
      {entry.problems ? (
        <>
          <Problems list={entry.problems} />
          <h3>Copies of this job</h3>
          <Copies name={entry.name} may_make={false} />
        </>
      ) : (
        <>
          {doc && <span>{[vehicle_line(doc), job_line(doc)].filter(Boolean).join(" · ")}</span>}
          {next?.lack && <span class="job-next">Next: {next.lack}</span>}
          <span class="soft">
            changed {when(entry.changed)} · {entry.name}.graft
          </span>
        </>
      )}
    </li>
  );
}

export function JobCards({ grafts }: { grafts: readonly GraftEntry[] }) {
  const latest = [...grafts].sort((a, b) => b.changed.localeCompare(a.changed));
  return (
    <ul class="cards job-cards">
      {latest.map((entry, index) => (
        <JobCard key={entry.name} entry={entry} look={index < looked_into} />
      ))}
    </ul>
  );
}
