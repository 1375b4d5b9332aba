// What waits on this device for the program: for which job, where it is stored, and what can be done about it.

import { useEffect, useState } from "preact/hooks";
import type { GraftEntry, Grafts } from "../api_types";
import { close_dialog } from "../dialogs";
import { ask } from "../net/request";
import { can_store, refused, send_now, waiting } from "../net/waiting";
import { save_waiting } from "../net/waiting_file";
import { Dialog } from "../parts/dialog";
import { NotTaken } from "./not_taken";
import { Rescue } from "./rescue";
import { WaitingJob } from "./waiting_job";

function use_jobs(): GraftEntry[] | null {
  const [jobs, set_jobs] = useState<GraftEntry[] | null>(null);
  useEffect(() => {
    void ask<Grafts>("/api/grafts").then((answer) => answer.ok && set_jobs(answer.value.grafts));
  }, []);
  return jobs;
}

function Where() {
  return (
    <p class="soft">
      What you enter is stored in this browser on this device, under the address <strong>{location.origin}</strong>, until the workbench
      computer has it on its disk. It stays there when the page or the browser is closed. Whoever clears this browser's data clears it too.
    </p>
  );
}

export function WaitingDialog() {
  const jobs = use_jobs();
  const rows = waiting.value;
  const nothing = rows.length === 0 && refused.value.length === 0;
  return (
    <Dialog title="What waits on this device" close={close_dialog}>
      <div class="stack waiting">
        {!can_store.value && <p class="danger-text">This browser stores nothing: what you enter without a link is lost.</p>}
        {nothing && <p>Nothing waits. The workbench computer has everything that was entered here.</p>}
        {rows.length > 0 && (
          <ul class="waiting-jobs">
            {rows.map((row) => (
              <WaitingJob key={row.graft} row={row} jobs={jobs} />
            ))}
          </ul>
        )}
        <NotTaken jobs={jobs} />
        {!nothing && (
          <div class="buttons">
            {rows.length > 0 && (
              <button type="button" class="primary" onClick={() => void send_now()}>
                Send now
              </button>
            )}
            <button type="button" onClick={() => void save_waiting()}>
              Save to a file
            </button>
          </div>
        )}
        <Where />
        <Rescue jobs={jobs} />
      </div>
    </Dialog>
  );
}
