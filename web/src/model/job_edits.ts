// Edits of the job's and the vehicle's data. The document keeps no empty text.

import type { Graft, JobData, Json, PatchStep, Vehicle } from "../api_types";

export function set_title(title: string): PatchStep[] {
  return title ? [{ op: "add", path: "/title", value: title }] : [];
}

function set_in(doc: Graft, owner: "job" | "vehicle", member: string, value: string | number): PatchStep[] {
  const now: Record<string, unknown> = { ...doc[owner] };
  if (value === "") delete now[member];
  else now[member] = value;
  if (Object.keys(now).length > 0) return [{ op: "add", path: `/${owner}`, value: now as Json }];
  return doc[owner] ? [{ op: "remove", path: `/${owner}` }] : [];
}

export const set_job = (doc: Graft, member: keyof JobData, value: string) => set_in(doc, "job", member, value);

export const set_vehicle = (doc: Graft, member: keyof Vehicle, value: string | number) => set_in(doc, "vehicle", member, value);
