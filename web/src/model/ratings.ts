// The volts that a device or a module is made for.

import type { Graft, PatchStep } from "../api_types";
import { set_fact } from "./measured";
import { pointer, set_member } from "./patch";

export function rate_volts(doc: Graft, subject: string, volts: number): PatchStep[] {
  const index = (doc.modules ?? []).findIndex((module) => module.id === subject);
  if (index < 0) return set_fact(doc, subject, "rated_v", volts);
  return set_member(pointer("modules", index), subject, "rated_v", volts);
}
