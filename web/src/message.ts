// Short messages of the page: shown for a while and read out by screen readers.

import { signal } from "@preact/signals";

export interface Message {
  id: number;
  text: string;
  kind: "done" | "error";
}

export const message = signal<Message | null>(null);

let count = 0;
let timer = 0;

const seconds_shown = { done: 5, error: 15 };

export function show_message(text: string, kind: Message["kind"] = "done"): void {
  count += 1;
  message.value = { id: count, text: text.trim(), kind };
  window.clearTimeout(timer);
  timer = window.setTimeout(close_message, 1000 * seconds_shown[kind]);
}

export function close_message(): void {
  message.value = null;
}
