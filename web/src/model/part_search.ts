// Finds wires, devices and cavities by what a person types: "C2-31", "c2 31", "C2/31", a name, a signal, a colour.

import type { Device, End, Graft, Wire } from "../api_types";
import { kind_of } from "./device_kinds";
import { all_wires, colour_letters } from "./document";
import { device_name, end_name, place_name, wire_ends, wire_name } from "./names";

export interface FoundPart {
  kind: "wire" | "device";
  id: string;
  name: string;
  detail: string; // where it is, or between what
  score: number; // 3 the cavity itself or the whole name, 2 the beginning of the name, 1 somewhere in it
}

const words_of = (text: string): string[] =>
  text
    .toLowerCase()
    .split(/[^\p{L}\p{N}+]+/u)
    .filter((word) => word !== "");

// "C2-31", "c2 31" and "C2.31" are one: letters and digits only.
const joined = (text: string): string => words_of(text).join("");

// Every word that was typed begins a word of the text.
function has_words(typed: readonly string[], text: readonly string[]): boolean {
  return typed.every((word) => text.some((one) => one.startsWith(word)));
}

function score_of(typed: string, name: string, cavities: readonly string[], more: string): number {
  const wanted = joined(typed);
  if (wanted === joined(name) || cavities.some((cavity) => joined(cavity) === wanted)) return 3;
  const words = words_of(typed);
  if (name.toLowerCase().startsWith(typed.trim().toLowerCase())) return 2;
  return has_words(words, words_of([name, ...cavities, more].join(" "))) ? 1 : 0;
}

// Where the plan moves the wire to: it is found there too.
function new_end(doc: Graft, wire: Wire): End | undefined {
  return doc.plan?.find((step) => step.action === "move" && step.wire === wire.id)?.to;
}

function wire_hit(doc: Graft, wire: Wire, typed: string): FoundPart {
  const moved = new_end(doc, wire);
  const moved_text = moved ? end_name(doc, moved) : "";
  const name = wire_name(doc, wire);
  const ends = wire_ends(doc, wire);
  const cavities = [end_name(doc, wire.from), end_name(doc, wire.to), moved_text].filter((one) => one !== "");
  const detail = moved_text ? `${ends}, moves to ${moved_text}` : ends;
  return {
    kind: "wire",
    id: wire.id,
    name,
    detail,
    score: score_of(typed, name, cavities, `${colour_letters(wire.colour)} ${wire.signal ?? ""}`),
  };
}

function device_hit(doc: Graft, device: Device, typed: string): FoundPart {
  const name = device_name(doc, device.id);
  const kind = kind_of(device.kind)?.text ?? "";
  const place = device.place ? place_name(doc, device.place) : "";
  return {
    kind: "device",
    id: device.id,
    name,
    detail: [kind, place].filter((one) => one !== "").join(", "),
    score: score_of(typed, name, [device.id], `${kind} ${place}`),
  };
}

// The best first; without a text all, devices first.
export function search_parts(doc: Graft, typed: string): FoundPart[] {
  const devices = (doc.devices ?? []).map((device) => device_hit(doc, device, typed));
  const wires = all_wires(doc).map((wire) => wire_hit(doc, wire, typed));
  const all = [...devices, ...wires];
  if (joined(typed) === "") return all;
  return all.filter(({ score }) => score > 0).sort((a, b) => b.score - a.score);
}
