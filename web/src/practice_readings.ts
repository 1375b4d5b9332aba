// What the practice meter showed. It stays in this tab: nothing of it was measured, so nothing goes to the program's files.

import { signal } from "@preact/signals";
import type { ProveReport } from "./api_types";
import { unreached } from "./model/proof";
import type { MarkedReading } from "./model/reading";

const key = (graft: string) => `loomgraft.practice_readings.${graft}`;
const version = signal(0);

export function practice_readings(graft: string): MarkedReading[] {
  void version.value;
  try {
    const kept: unknown = JSON.parse(sessionStorage.getItem(key(graft)) ?? "[]");
    return Array.isArray(kept) ? (kept as MarkedReading[]) : [];
  } catch {
    return [];
  }
}

export function add_practice_reading(graft: string, reading: MarkedReading): void {
  sessionStorage.setItem(key(graft), JSON.stringify([...practice_readings(graft), reading]));
  version.value += 1;
}

export function drop_practice_readings(graft: string): void {
  sessionStorage.removeItem(key(graft));
  version.value += 1;
}

// For one report: positions of tests and values, "12:0.3,15:1000000000".
export function practice_query(proof: ProveReport, readings: readonly MarkedReading[]): string {
  const position = new Map(proof.tests.map((test, index) => [test.id, index]));
  const parts = readings.flatMap((reading) => {
    const at = position.get(reading.test);
    return at === undefined ? [] : [`${at}:${reading.unit === unreached ? unreached : reading.value}`];
  });
  return parts.length > 0 ? parts.join(",") : "none";
}
