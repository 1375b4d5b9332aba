// What a person sees of a plug: rows from the top, columns from the left, both from 1, gaps not counted.

import type { Connector, PlugQuery, Sighting } from "../api_types";

export interface Seen {
  base?: string;
  tracer?: string;
  empty?: boolean;
  large?: boolean;
}

export interface Glimpse {
  rows: number[]; // cavities in each row
  seen: Record<string, Seen>; // by key_of
  latch: string;
  side: string;
}

export const key_of = (row: number, column: number): string => `${row} ${column}`;

// Rows that stand at one height are one row to the eye.
function rows_of(plug: Connector): number[] {
  const heights = new Map<number, number>();
  (plug.rows ?? []).forEach((row, index) => {
    const count = (row.cavities ?? []).filter((name) => name !== "").length;
    const height = row.y_mm ?? index * 1000;
    if (count > 0) heights.set(height, (heights.get(height) ?? 0) + count);
  });
  return [...heights.entries()].sort(([a], [b]) => a - b).map(([, count]) => count);
}

// The shapes among the plugs, each once. A guessed geometry is as good a start as any.
export function glimpse_shapes(plugs: Connector[]): number[][] {
  const shapes = plugs.map(rows_of).filter((rows) => rows.length > 0);
  return shapes.filter((rows, index) => shapes.findIndex((other) => shape_name(other) === shape_name(rows)) === index);
}

export const shape_name = (rows: number[]): string => rows.join(" · ");

export function seen_words(seen: Seen | undefined): string {
  if (!seen) return "";
  if (seen.empty) return seen.large ? "empty, large" : "empty";
  const colour = seen.base ? (seen.tracer ? `${seen.base}/${seen.tracer}` : seen.base) : "";
  return [colour, seen.large ? "large" : ""].filter(Boolean).join(", ");
}

export function query_of(glimpse: Glimpse): PlugQuery {
  const seen: Sighting[] = Object.entries(glimpse.seen).map(([key, one]) => {
    const [row = 0, column = 0] = key.split(" ").map(Number);
    const sighting: Sighting = { row, column };
    if (one.empty) sighting.empty = true;
    else if (one.base) sighting.colour = one.tracer ? `${one.base}/${one.tracer}` : one.base;
    if (one.large) sighting.large = true;
    return sighting;
  });
  return { seen, ...(glimpse.latch ? { latch: glimpse.latch } : {}), ...(glimpse.side ? { side: glimpse.side } : {}) };
}
