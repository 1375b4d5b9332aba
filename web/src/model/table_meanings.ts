// The colour letters and stated types that occur in the pins of one table, each once, with what they were read as.

import type { PinClass, TablePin } from "../api_types";

const most = 24;

export interface ColourCode {
  code: string;
  colour: string; // IEC 60757 letters; empty: not known
}

export function colour_codes_in(pins: readonly TablePin[]): ColourCode[] {
  const codes = new Map<string, string>();
  for (const { colour } of pins) {
    if (!colour?.raw) continue;
    const words = colour.raw.split(/[/\-+\s]+/).filter(Boolean);
    const read = [colour.base, colour.tracer];
    // More words than colours: which word is which cannot be told.
    if (words.length > 2) continue;
    words.forEach((word, at) => {
      if (!codes.get(word)) codes.set(word, read[at] ?? "");
    });
  }
  return [...codes].map(([code, colour]) => ({ code, colour })).slice(0, most);
}

export interface StatedType {
  type: string;
  pin_class: PinClass;
}

export function stated_types_in(pins: readonly TablePin[]): StatedType[] {
  const types = new Map<string, PinClass>();
  for (const pin of pins) {
    const type = pin.stated_type.trim();
    if (type && !types.has(type)) types.set(type, pin.class);
  }
  return types.size > most ? [] : [...types].map(([type, pin_class]) => ({ type, pin_class }));
}
