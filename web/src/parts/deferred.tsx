// Content below the first view: rendered once that is on the screen and the page is idle.

import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";
import { black_ink } from "./print";

const at_most_ms = 300;

function when_idle(act: () => void): () => void {
  // Not every phone's browser has requestIdleCallback.
  if (!("requestIdleCallback" in window)) {
    const timer = setTimeout(act, at_most_ms / 2);
    return () => clearTimeout(timer);
  }
  const call = window.requestIdleCallback(act, { timeout: at_most_ms });
  return () => window.cancelIdleCallback(call);
}

export function Deferred({ children }: { children: ComponentChildren }) {
  const [now, set_now] = useState(false);
  useEffect(() => when_idle(() => set_now(true)), []);
  return now || black_ink.value ? children : null;
}
