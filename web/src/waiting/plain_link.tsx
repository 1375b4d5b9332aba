// Said once on each device whose link to the program is not encrypted.

import { useState } from "preact/hooks";
import { connection } from "../net/events";

const key = "loomgraft.told_plain_link";

function was_told(): boolean {
  try {
    return localStorage.getItem(key) === "yes";
  } catch {
    return false;
  }
}

export function PlainLink() {
  const [told, set_told] = useState(was_told);
  // Without a link the notice about that has the word.
  if (window.isSecureContext || told || connection.value === "lost") return null;
  const understood = () => {
    set_told(true);
    try {
      localStorage.setItem(key, "yes");
    } catch {
      // It is said again next time.
    }
  };
  return (
    <section class="lost-link no-print" aria-label="This link is not encrypted">
      <span>
        <strong>This link is not encrypted.</strong> Anyone on this network can read along. If this page is reloaded while there is no link,
        the plan is gone until the link is back; what you entered stays. On the computer, <code>loomgraft serve --lan --tls</code> changes
        both.
      </span>
      <button type="button" onClick={understood}>
        Understood
      </button>
    </section>
  );
}
