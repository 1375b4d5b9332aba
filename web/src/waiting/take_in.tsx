// A file of what waited elsewhere: what it holds, and which job of this folder each part belongs to.

import { useState } from "preact/hooks";
import type { GraftEntry } from "../api_types";
import { show_message } from "../message";
import type { ReadFile } from "../model/waiting_file";
import { by_graft, counts_text } from "../model/waiting_text";
import { take_in } from "../net/waiting_file";
import { Select } from "../parts/field";

function rows_of(file: ReadFile) {
  const edits = new Map<string, number>();
  for (const { graft } of file.edits) edits.set(graft, (edits.get(graft) ?? 0) + 1);
  return by_graft(
    file.entries.map(({ stored }) => ({ ...stored, state: "pending", reason: "" })),
    edits,
  );
}

export function TakeIn({ file, jobs, done }: { file: ReadFile; jobs: readonly GraftEntry[] | null; done: () => void }) {
  const rows = rows_of(file);
  const [chosen, set_chosen] = useState<ReadonlyMap<string, string>>(new Map());
  // Without a link nobody knows which jobs there are: each part waits for the job of its name.
  const known = jobs ?? rows.map(({ graft }) => ({ name: graft, title: "" }));
  const job_of = (graft: string) => chosen.get(graft) ?? (known.some((job) => job.name === graft) ? graft : "");
  const choices = [["", "leave out"] as const, ...known.map((job) => [job.name, job.title || job.name] as const)];
  const take = async () => {
    const count = await take_in(file, new Map(rows.map(({ graft }) => [graft, job_of(graft)])));
    done();
    show_message(count === 1 ? "1 entry is taken in and on its way." : `${count} entries are taken in and on their way.`);
  };
  return (
    <section class="stack" aria-label="What the file holds">
      <h3>What the file holds</h3>
      {rows.length === 0 && <p>Nothing that could be sent.</p>}
      {file.unusable > 0 && <p class="danger-text">{file.unusable} of its entries cannot be read and are left out.</p>}
      {rows.map((row) => (
        <div key={row.graft} class="stack" data-graft={row.graft}>
          <span>{counts_text(row)}</span>
          <Select
            label={`For the job “${row.graft}”`}
            value={job_of(row.graft)}
            choices={choices}
            take={(wanted) => set_chosen(new Map([...chosen, [row.graft, wanted]]))}
          />
        </div>
      ))}
      <div class="buttons">
        <button type="button" onClick={done}>
          Not now
        </button>
        <button type="button" class="primary" disabled={!rows.some(({ graft }) => job_of(graft) !== "")} onClick={() => void take()}>
          Take it in
        </button>
      </div>
    </section>
  );
}
