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

// The state comes by events, which are in order; an answer could be older than the last of them.
let events = 0;

export function on_meter_event(event: MessageEvent<string>): void {
  try {
    meter.value = JSON.parse(event.data) as Meter;
    events += 1;
  } catch {
    // The next one will do.
  }
}

async function load_meter(): Promise<void> {
  const before = events;
  const answer = await ask<Meter>("/api/meter");
  if (answer.ok && events === before) meter.value = answer.value;
}

// One request after the other: to let the meter go and to set it for the next step must not change places.
let last: Promise<unknown> = Promise.resolve();

function in_turn(path: string, body?: { page: string; graft?: string; test?: string }): Promise<void> {
  const sent = last.then(() => ask<Meter>(path, { method: "POST", body }));
  last = sent;
  return sent.then((answer) => {
    meter_problem.value = answer.ok ? null : (answer.problems[0] ?? null);
  });
}

export const set_meter = (graft: string, test: string): Promise<void> => in_turn("/api/meter", { page: page_id, graft, test });

// From now on the touching leads count as nothing.
export const zero_leads = (): Promise<void> => in_turn("/api/meter/zero");

// What on the screen has the meter.
let holder: object | null = null;

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
    const mine = {};
    holder = mine;
    void set_meter(graft, test);
    // The next step may have taken the meter before this one leaves the screen.
    return () => {
      if (holder === mine) void in_turn("/api/meter", { page: page_id });
    };
  }, [graft, test, wanted, attached, connected]);
  return wanted && attached ? meter.value : null;
}
