// Subjects of ticks: what each tick is about, as one key. Keys are made here and compared, never taken apart. They are in
// graft files, so they stay as they are.

import type { CavityRef } from "../api_types";
import { end_text } from "./document";

export const condition_subject = (condition: string): string => `state:${condition}`;

export function move_subject({ action, from, to }: { action: string; from: CavityRef | null; to: CavityRef | null }): string {
  return `move.${action}.${from ? end_text(from) : ""}.${to ? end_text(to) : ""}`;
}
