// Sends what could not be sent while the connection was lost, oldest first, as soon as it is back.

import { effect } from "@preact/signals";
import { show_message } from "../message";
import { change } from "./edit";
import { connection } from "./events";
import { graft, load_graft, open_problems } from "./graft";
import { drop_first_unsent, is_there_already, unsent_edits } from "./unsent";

let sending = false;

async function resend(name: string): Promise<void> {
  // The document as the program has it: the one in the page shows the edits as if they were saved.
  await load_graft(name);
  if (open_problems.value.length > 0) return;
  let count = 0;
  // One that is lost again is kept again, behind the others, and waits for the next connection.
  for (const { text, patch } of [...unsent_edits(name)]) {
    if (graft.value?.name !== name) return;
    drop_first_unsent(name);
    if (await change(text, (now) => (is_there_already(now, patch) ? [] : patch))) count += 1;
    if (connection.value !== "connected") return;
  }
  if (count > 0) show_message(`Saved now: ${count} ${count === 1 ? "change" : "changes"} made without a connection.`);
}

effect(() => {
  const name = graft.value?.name ?? "";
  if (connection.value !== "connected" || !name || sending || unsent_edits(name).length === 0) return;
  sending = true;
  void resend(name).finally(() => {
    sending = false;
  });
});
