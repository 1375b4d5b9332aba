// The devices that are paired with the workbench, and how this one leaves.

import type { Devices } from "../api_types";
import { ask, type Result } from "./request";

export type PairedDevice = Devices["devices"][number];

export const list_devices = (): Promise<Result<Devices>> => ask("/api/devices");

export const remove_device = (id: string): Promise<Result<void>> => ask(`/api/devices/${encodeURIComponent(id)}`, { method: "DELETE" });

export const leave = (): Promise<Result<void>> => ask("/api/leave", { method: "POST" });
