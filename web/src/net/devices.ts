// The devices that are paired with the workbench, and how this one leaves.

import { ask, type Result } from "./request";

export interface Device {
  id: string;
  name: string;
  since: string; // paired, ISO 8601
  seen: string; // last request
  ends: string; // end of its session, whatever it does
  this: boolean;
}

export const list_devices = (): Promise<Result<{ devices: Device[] }>> => ask("/api/devices");

export const remove_device = (id: string): Promise<Result<void>> => ask(`/api/devices/${encodeURIComponent(id)}`, { method: "DELETE" });

export const leave = (): Promise<Result<void>> => ask("/api/leave", { method: "POST" });
