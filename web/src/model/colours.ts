// Wire colours by their IEC 60757 letters: names, and the inks that the drawings use.

import published from "../../../data/colours.csv";

interface Ink {
  name: string;
  fill: string;
  stripe?: string;
}

// Inks of our own choice, the same as in src/draw/wire_paint.cpp.
const inks: Record<string, Ink> = {
  BK: { name: "black", fill: "#1b1b1b" },
  BN: { name: "brown", fill: "#7a4a25" },
  RD: { name: "red", fill: "#c9281f" },
  OG: { name: "orange", fill: "#f08a1d" },
  YE: { name: "yellow", fill: "#f6d523" },
  GN: { name: "green", fill: "#2f8f46" },
  BU: { name: "blue", fill: "#2463ba" },
  VT: { name: "violet", fill: "#7c3f99" },
  GY: { name: "grey", fill: "#9b9b97" },
  WH: { name: "white", fill: "#ffffff" },
  PK: { name: "pink", fill: "#f2a5b9" },
  TQ: { name: "turquoise", fill: "#35b4b4" },
  SR: { name: "silver", fill: "#ccd1d6" },
  GD: { name: "gold", fill: "#b9933b" },
  GNYE: { name: "green and yellow", fill: "#2f8f46", stripe: "#f6d523" },
};

const letters_of = (text: string): string[] =>
  text
    .split("\n")
    .filter((line) => line.startsWith("IEC 60757,"))
    .map((line) => line.split(",")[2] ?? "")
    .filter((letters, index, all) => letters in inks && all.indexOf(letters) === index);

export const letters: readonly string[] = letters_of(published);

export const ink_of = (code: string): Ink | undefined => inks[code];

export function colour_text(base: string | undefined, tracer: string | undefined): string {
  if (!base) return "colour not known";
  const main = inks[base]?.name ?? base;
  return tracer ? `${main} with ${inks[tracer]?.name ?? tracer}` : main;
}
