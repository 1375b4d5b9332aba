// What a person sees of a plug. Rows count from the top and columns from the left, both from 1; gaps are not counted.

import type { Connector, PlugQuery } from "../api_types";

export interface Position {
  row: number;
  column: number;
}

export interface CavityObservation extends Position {
  base?: string;
  tracer?: string;
  empty?: boolean;
  large?: boolean;
}

export interface PlugObservation {
  rows: number[]; // cavities in each row
  seen: readonly CavityObservation[];
  latch: string;
  side: string;
}

export const same_position = (a: Position, b: Position): boolean => a.row === b.row && a.column === b.column;

export const seen_at = ({ seen }: PlugObservation, at: Position): CavityObservation | undefined =>
  seen.find((one) => same_position(one, at));

export const nothing_known = ({ base, empty, large }: CavityObservation): boolean => !base && !empty && !large;

// The observation with one cavity seen anew; a cavity of which nothing is known is left out.
export function with_cavity(observation: PlugObservation, cavity: CavityObservation): PlugObservation {
  const others = observation.seen.filter((one) => !same_position(one, cavity));
  return { ...observation, seen: nothing_known(cavity) ? others : [...others, cavity] };
}

// The same plug seen from its other side: left and right change.
export function mirrored(observation: PlugObservation): PlugObservation {
  const seen = observation.seen.map((one) => ({ ...one, column: (observation.rows[one.row - 1] ?? one.column) + 1 - one.column }));
  const latch = { left: "right", right: "left" }[observation.latch] ?? observation.latch;
  const side = { wire_entry: "mating", mating: "wire_entry" }[observation.side] ?? "";
  return { ...observation, seen, latch, side };
}

// Rows at one height look like one row.
function rows_of(plug: Connector): number[] {
  const heights = new Map<number, number>();
  (plug.rows ?? []).forEach((row, index) => {
    const count = (row.cavities ?? []).filter((name) => name !== "").length;
    const height = row.y_mm ?? index * 1000;
    if (count > 0) heights.set(height, (heights.get(height) ?? 0) + count);
  });
  return [...heights.entries()].sort(([a], [b]) => a - b).map(([, count]) => count);
}

// The shapes of the plugs, each once. An assumed shape is as good to start with as any.
export function plug_shapes(plugs: Connector[]): number[][] {
  const shapes = plugs.map(rows_of).filter((rows) => rows.length > 0);
  return shapes.filter((rows, index) => shapes.findIndex((other) => shape_name(other) === shape_name(rows)) === index);
}

export const shape_name = (rows: number[]): string => rows.join(" · ");

export const letters_of = ({ base, tracer }: CavityObservation): string => (base ? (tracer ? `${base}/${tracer}` : base) : "");

export function observed_text(seen: CavityObservation | undefined): string {
  if (!seen) return "";
  return [seen.empty ? "empty" : letters_of(seen), seen.large ? "large" : ""].filter(Boolean).join(", ");
}

export function query_of(observation: PlugObservation): PlugQuery {
  const seen = observation.seen.map((one) => ({
    row: one.row,
    column: one.column,
    ...(one.empty ? { empty: true } : one.base ? { colour: letters_of(one) } : {}),
    ...(one.large ? { large: true } : {}),
  }));
  const { latch, side } = observation;
  return { seen, ...(latch ? { latch } : {}), ...(side ? { side } : {}) };
}
