// The meter that is attached to the workbench computer: its state, and which step it is set for.

import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Meter, Problem } from "../api_types";
import { new_reading_id } from "../model/reading";
import { connection } from "./events";
import { ask } from "./request";

// Null before the program has said.
export const meter = signal<Meter | null>(null);
// Why the open step does not get the meter.
export const meter_problem = signal<Problem | null>(null);

// Two pages of one device are two, too.
export const page_id = new_reading_id();

function take(answer: { ok: true; value: Meter } | { ok: false; problems: Problem[] }): boolean {
  if (answer.ok) meter.value = answer.value;
  meter_problem.value = answer.ok ? null : (answer.problems[0] ?? null);
  return answer.ok;
}

async function load_meter(): Promise<void> {
  const answer = await ask<Meter>("/api/meter");
  if (answer.ok) meter.value = answer.value;
}

const send = (body: { page: string; graft?: string; test?: string }) => ask<Meter>("/api/meter", { method: "POST", body });

export async function set_meter(graft: string, test: string): Promise<void> {
  take(await send({ page: page_id, graft, test }));
}

// From now on the touching leads count as nothing.
export async function zero_leads(): Promise<void> {
  take(await ask<Meter>("/api/meter/zero", { method: "POST" }));
}

export function on_meter_event(event: MessageEvent<string>): void {
  try {
    meter.value = JSON.parse(event.data) as Meter;
  } catch {
    // The next one will do.
  }
}

// Sets the meter for the step while it is on the screen, and lets it rest afterwards. Set anew after a break: the program
// may have been started again.
export function use_meter(graft: string, test: string, wanted: boolean): Meter | null {
  const connected = connection.value === "connected";
  const attached = meter.value?.attached === true;
  useEffect(() => {
    if (connected) void load_meter();
  }, [connected]);
  useEffect(() => {
    if (!wanted || !attached || !connected) return;
    void set_meter(graft, test);
    return () => {
      meter_problem.value = null;
      void send({ page: page_id });
    };
  }, [graft, test, wanted, attached, connected]);
  return wanted && attached ? meter.value : null;
}
