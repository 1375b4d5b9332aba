// The vehicle and the job in one line each.

import type { Graft } from "../api_types";

export function vehicle_line({ vehicle, job }: Graft): string {
  const parts = [vehicle?.name, vehicle?.years, job?.registration, vehicle?.name && vehicle.supply_v ? `${vehicle.supply_v} V` : ""];
  return parts.filter(Boolean).join(", ");
}

export function job_line({ job }: Graft): string {
  return [job?.number ? `job ${job.number}` : "", job?.customer ?? ""].filter(Boolean).join(", ");
}
