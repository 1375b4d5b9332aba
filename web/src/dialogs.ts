// Which dialog of the page is open, and the keys that open one.

import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { graft } from "./net/graft";

export type DialogName = "job" | "search" | "help" | "settings" | "waiting";

export const open_dialog = signal<DialogName | null>(null);

export const close_dialog = (): void => {
  open_dialog.value = null;
};

export function is_typing(event: KeyboardEvent): boolean {
  return event.target instanceof HTMLElement && event.target.closest("input, textarea, select, [contenteditable]") !== null;
}

const opened_by: Record<string, DialogName> = { "/": "search", "?": "help" };

export function use_dialog_keys(): void {
  useEffect(() => {
    const keys = (event: KeyboardEvent) => {
      const wanted = opened_by[event.key];
      if (!wanted || event.ctrlKey || event.metaKey || event.altKey || is_typing(event) || document.querySelector("dialog[open]")) return;
      if (wanted === "search" && !graft.value) return;
      event.preventDefault();
      open_dialog.value = wanted;
    };
    window.addEventListener("keydown", keys);
    return () => window.removeEventListener("keydown", keys);
  }, []);
}
