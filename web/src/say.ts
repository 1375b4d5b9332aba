// What the page says in passing: shown for a while and read out by screen readers.

import { signal } from "@preact/signals";

export interface Saying {
  id: number;
  text: string;
  kind: "done" | "error";
}

export const saying = signal<Saying | null>(null);

let count = 0;
let timer = 0;

const seconds_shown = { done: 5, error: 15 };

export function say(text: string, kind: Saying["kind"] = "done"): void {
  count += 1;
  saying.value = { id: count, text: text.trim(), kind };
  window.clearTimeout(timer);
  timer = window.setTimeout(hush, 1000 * seconds_shown[kind]);
}

export function hush(): void {
  saying.value = null;
}
