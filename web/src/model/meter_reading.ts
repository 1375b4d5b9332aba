// When what an attached meter shows is a reading of the open step. No requests here.

import type { Meter, ProveTest } from "../api_types";
import { over_range, result_of } from "./proof";

// The meter is set for this step of this page.
export const is_set_for = (meter: Meter, graft: string, test: ProveTest, page: string): boolean =>
  meter.attached && meter.page === page && meter.graft === graft && meter.test === test.id && meter.unit === test.band.unit;

// What it shows now, steady or not.
export function shown_value(meter: Meter): number | null {
  return meter.over_range ? over_range : meter.value;
}

const leads_count = (meter: Meter): boolean => meter.unit === "ohm" && !meter.over_range && meter.leads_ohm === null;

// A value that a person may take: it stands still, and the leads are not in it.
export function steady_value(meter: Meter): number | null {
  return meter.steady && !leads_count(meter) ? shown_value(meter) : null;
}

// A value that may be taken without a person: it cannot come from leads in the air, nor from the touch of the step before.
export function value_by_itself(meter: Meter): number | null {
  return meter.fresh && !meter.in_air ? steady_value(meter) : null;
}

export function in_band_value(meter: Meter, test: ProveTest): number | null {
  const value = steady_value(meter);
  return value !== null && result_of(test, { value, unit: test.band.unit }) === "in_band" ? value : null;
}

const state_texts: Record<Meter["state"], string> = {
  none: "No meter is attached.",
  connecting: "The meter cannot be reached",
  no_answer: "No answer from the meter",
  not_understood: "Not understood",
  refused: "The meter refused",
  ready: "",
};

// What is wrong with it; empty where nothing is.
export function trouble_text({ state, text }: Meter): string {
  if (state === "ready") return "";
  return text ? `${state_texts[state]}: ${text}` : `${state_texts[state]}`;
}

// What to do next with the leads, or what the meter waits for.
export function advice(meter: Meter, by_itself: boolean): string {
  if (leads_count(meter)) return "Touch the leads together and zero them first: their own resistance is in this value.";
  if (meter.in_air) return "Leads in the air show the same. Put both leads on; if this stays, take it yourself.";
  if (!meter.steady) return "Waiting until the value stands still.";
  if (!by_itself) return "";
  return meter.fresh ? "" : "The leads were not lifted since the last step. Lift them and put them on.";
}
