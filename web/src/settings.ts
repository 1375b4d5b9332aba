// What belongs to this device and not to the graft: its name, the theme, the units.

import { effect, signal } from "@preact/signals";

export type Theme = "auto" | "light" | "dark" | "glare";
export type Units = "metric" | "awg";
export type LengthUnit = "m" | "cm" | "ft";

function kept(key: string, fallback: string): string {
  try {
    return localStorage.getItem(`loomgraft.${key}`) ?? fallback;
  } catch {
    return fallback; // storage is switched off: the setting lasts as long as the page
  }
}

function keep(key: string, value: string): void {
  try {
    localStorage.setItem(`loomgraft.${key}`, value);
  } catch {
    // as above
  }
}

const length_units: readonly LengthUnit[] = ["m", "cm", "ft"];
const themes: readonly Theme[] = ["auto", "light", "dark", "glare"];

export const author = signal(kept("author", window.matchMedia("(max-width: 700px)").matches ? "phone" : "bench"));
export const theme = signal<Theme>(themes.find((name) => name === kept("theme", "auto")) ?? "auto");
export const units = signal<Units>(kept("units", "metric") === "awg" ? "awg" : "metric");
export const length_unit = signal<LengthUnit>(length_units.find((name) => name === kept("length_unit", "m")) ?? "m");

// Whether a value that stands still on an attached meter becomes the reading, and whether steps are spoken.
export const meter_by_itself = signal(kept("meter_by_itself", "on") === "on");
export const speak_steps = signal(kept("speak_steps", "off") === "on");

effect(() => keep("author", author.value));
effect(() => keep("units", units.value));
effect(() => keep("meter_by_itself", meter_by_itself.value ? "on" : "off"));
effect(() => keep("speak_steps", speak_steps.value ? "on" : "off"));
effect(() => keep("length_unit", length_unit.value));
effect(() => {
  keep("theme", theme.value);
  document.documentElement.dataset.theme = theme.value;
});
