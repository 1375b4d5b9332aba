// What the program will not take: each entry with the reason, until a person has looked at it.

import type { GraftEntry } from "../api_types";
import { ask_first } from "../ask_first";
import { clock_text, entry_text } from "../model/waiting_text";
import { discard_entry, refused, send_again } from "../net/waiting";
import type { Stored } from "../outbox";
import { job_name } from "./waiting_job";

async function discard(stored: Stored): Promise<void> {
  const text = [`${entry_text(stored)}.`, "It is on this device only. Once discarded it is gone, unless you saved it to a file before."];
  if (await ask_first("Discard what was not taken?", text, "Discard it")) await discard_entry(stored.id);
}

function Refused({ stored, jobs }: { stored: Stored; jobs: readonly GraftEntry[] | null }) {
  const what = entry_text(stored);
  const when = clock_text(stored.at);
  return (
    <li class="stack" data-refused={stored.id}>
      <span>
        {what}{" "}
        <span class="soft">
          {job_name(stored.graft, jobs)}
          {when && `, ${when}`}
        </span>
      </span>
      <span class="danger-text">{stored.reason}</span>
      <span class="buttons">
        <button type="button" aria-label={`Send again: ${what}`} onClick={() => void send_again(stored.id)}>
          Send again
        </button>
        <button type="button" aria-label={`Discard: ${what}`} onClick={() => void discard(stored)}>
          Discard
        </button>
      </span>
    </li>
  );
}

export function NotTaken({ jobs }: { jobs: readonly GraftEntry[] | null }) {
  const list = refused.value;
  if (list.length === 0) return null;
  return (
    <section class="stack" aria-label="Not taken">
      <h3>Not taken by the workbench</h3>
      <ul class="waiting-jobs">
        {list.map((stored) => (
          <Refused key={stored.id} stored={stored} jobs={jobs} />
        ))}
      </ul>
    </section>
  );
}
