// Whole copies of a job: made, fetched, put back. They are there for a job that cannot be opened, too.

import { useEffect, useState } from "preact/hooks";
import type { Copy, Copies as CopyList, Problem } from "../api_types";
import { ask_first } from "../ask_first";
import { ask, graft_path } from "../net/request";
import { Problems } from "../parts/problems";

const when = (time: string) => new Date(time).toLocaleString([], { dateStyle: "medium", timeStyle: "short" });

const size = (bytes: number) => `${Math.max(1, Math.round(bytes / 1024))} kB`;

async function put_back(name: string, copy: Copy): Promise<Problem[]> {
  const text = [
    `The job is then as it was on ${when(copy.time)}: document, readings, ticks and photos.`,
    "What is there now becomes a copy itself and can be put back the same way. Pages that have the job open load it anew.",
  ];
  if (!(await ask_first("Put this copy back?", text, "Put it back"))) return [];
  const path = graft_path(name, `/copies/${encodeURIComponent(copy.name)}/put_back`);
  const answer = await ask(path, { method: "POST" });
  if (!answer.ok) return answer.problems;
  location.reload(); // nothing that this page holds belongs to the job any more
  return [];
}

export function Copies({ name, may_make }: { name: string; may_make: boolean }) {
  const [copies, set_copies] = useState<readonly Copy[] | null>(null);
  const [problems, set_problems] = useState<Problem[]>([]);
  const read = async () => {
    const answer = await ask<CopyList>(graft_path(name, "/copies"));
    if (answer.ok) set_copies(answer.value.copies);
    set_problems(answer.ok ? [] : answer.problems);
  };
  useEffect(() => void read(), [name]);
  const make = async () => {
    const answer = await ask(graft_path(name, "/copies"), { method: "POST" });
    if (answer.ok) await read();
    else set_problems(answer.problems);
  };
  return (
    <section class="stack copies no-print" aria-label="Copies">
      <div class="buttons">
        {may_make && (
          <button type="button" onClick={() => void make()}>
            Make a whole copy now
          </button>
        )}
        <span class="soft">Copies are also made by themselves while nobody writes; they lie in the folder's "backups".</span>
      </div>
      <Problems list={problems} />
      {copies?.length === 0 && <p class="soft">There is no copy yet.</p>}
      <ul class="history">
        {(copies ?? []).map((copy) => (
          <li key={copy.name} class="buttons">
            <span>
              {when(copy.time)} <span class="soft">{size(copy.bytes)}</span>
            </span>
            <a class="button" href={graft_path(name, `/copies/${encodeURIComponent(copy.name)}`)} download={`${name} ${copy.name}`}>
              Download
            </a>
            <button type="button" onClick={() => void put_back(name, copy).then(set_problems)}>
              Put it back
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}
