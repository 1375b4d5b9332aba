// While the link to the program is lost: what is shown, what waits and where, and what not to do.

import type { RefObject } from "preact";
import { useLayoutEffect, useRef } from "preact/hooks";
import { open_dialog } from "../dialogs";
import { clock_text, count_of, counts_text, total_of } from "../model/waiting_text";
import { connection } from "../net/events";
import { offline_ready } from "../net/offline";
import { as_of } from "../net/request";
import { can_store, waiting } from "../net/waiting";

function stored_text(): string {
  if (!can_store.value) return "This browser stores nothing: write down what you measure.";
  const total = total_of(waiting.value);
  if (count_of(total) === 0) return "What you enter now waits in this browser on this device.";
  return `${counts_text(total)} ${count_of(total) === 1 ? "waits" : "wait"} in this browser on this device.`;
}

// What a finger is about to press stays where it is, also in browsers that do not see to that themselves.
function use_steady_view(box: RefObject<HTMLElement | null>, shown: boolean): void {
  useLayoutEffect(() => {
    const height = box.current ? box.current.offsetHeight + 12 : 0; // with the margin below it
    if (height === 0 || window.scrollY < height || CSS.supports("overflow-anchor", "auto")) return;
    window.scrollBy(0, height);
    return () => window.scrollBy(0, -height);
  }, [shown]);
}

export function LostLink() {
  const box = useRef<HTMLDivElement>(null);
  const lost = connection.value === "lost";
  use_steady_view(box, lost);
  if (!lost) return null;
  const time = clock_text(as_of.value);
  return (
    <div class="lost-link no-print" role="status" ref={box}>
      <span>
        <strong>No link to the workbench computer.</strong> {time && `Shown from this device, as of ${time}. `}
        {stored_text()} {!offline_ready.value && "Do not reload or close this page: it would not come back."}
      </span>
      <button type="button" onClick={() => (open_dialog.value = "waiting")}>
        What waits
      </button>
    </div>
  );
}
