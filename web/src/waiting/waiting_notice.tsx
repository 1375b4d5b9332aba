// On the page of all jobs: that something still waits on this device, or was not taken.

import { open_dialog } from "../dialogs";
import { count_of, counts_text, total_of } from "../model/waiting_text";
import { refused, waiting } from "../net/waiting";

export function WaitingNotice() {
  const total = total_of(waiting.value);
  const count = refused.value.length;
  if (count_of(total) + count === 0) return null;
  const waits = count_of(total) === 0 ? "" : `${counts_text(total)} ${count_of(total) === 1 ? "waits" : "wait"} on this device. `;
  const not_taken = count === 0 ? "" : `${count} ${count === 1 ? "entry was" : "entries were"} not taken.`;
  return (
    <div class="lost-link no-print" role="status">
      <span>
        {waits}
        {not_taken}
      </span>
      <button type="button" onClick={() => (open_dialog.value = "waiting")}>
        What waits
      </button>
    </div>
  );
}
