// What a circuit card says of itself: its state, and the parts of the design report that are about it.

import type { CardPart, CircuitCard, CircuitDesign, DesignReport, WireDesign } from "../api_types";
import type { MarkName } from "../parts/mark";
import { fails_design, verdict_of } from "./circuit_verdict";

export interface CardState {
  mark: MarkName;
  text: string;
}

export const card_wires = (rows: readonly (readonly CardPart[])[]): Set<string> =>
  new Set(rows.flatMap((row) => row.map((part) => part.wire)).filter((wire) => wire !== ""));

export function designs_of(card: CircuitCard, report: DesignReport | null): CircuitDesign[] {
  const wires = card_wires(card.rows);
  wires.add(card.wire);
  return report?.circuits.filter((circuit) => circuit.wires.some((wire) => wires.has(wire.wire))) ?? [];
}

export function wire_design(designs: readonly CircuitDesign[], wire: string): WireDesign | undefined {
  return designs.flatMap((circuit) => circuit.wires).find((one) => one.wire === wire);
}

export function card_state(card: CircuitCard, designs: readonly CircuitDesign[]): CardState {
  if (card.forbidden) return { mark: "fails", text: "leave alone" };
  if (card.open) return { mark: "unsure", text: "far end missing" };
  if (designs.some(fails_design)) return { mark: "fails", text: "fails" };
  if (designs.some((circuit) => verdict_of(circuit) === "unsure")) return { mark: "unsure", text: "not judged" };
  if (card.guessed) return { mark: "note", text: "look at it" };
  if (designs.length === 0) return { mark: "none", text: "" };
  return { mark: "passes", text: "passes" };
}
