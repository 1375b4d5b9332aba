// The shape of a plug as a person writes it: its rows from the top, each with its cavities from left to right. "_" is a
// gap of one cavity, a large cavity is in brackets: "1 2 _ (3) 4". The document has the geometry in millimetres.

import type { Connector, ConnectorRow, Graft } from "../api_types";

export interface ShapeCell {
  name: string; // empty: a gap
  large: boolean;
}

export type PlugShape = ShapeCell[][];

const usual_pitch_mm = 4;
const usual_width_mm = 1.5;
const usual_large_mm = 2.8;

const widths = (rows: readonly ConnectorRow[]): number[] => rows.map((row) => row.terminal_width_mm ?? 0).filter((width) => width > 0);

// Rows of the document at one height are one row of the plug.
export function shape_of(rows: readonly ConnectorRow[]): PlugShape {
  const all = widths(rows);
  const large_from = Math.min(...all) * 1.3;
  const heights = [...new Set(rows.map((row, index) => row.y_mm ?? index * 1000))].sort((a, b) => a - b);
  return heights.map((height) =>
    rows
      .filter((row, index) => (row.y_mm ?? index * 1000) === height)
      .sort((a, b) => (a.x_mm ?? 0) - (b.x_mm ?? 0))
      .flatMap((row) => (row.cavities ?? []).map((name) => ({ name, large: name !== "" && (row.terminal_width_mm ?? 0) > large_from }))),
  );
}

export const row_text = (row: readonly ShapeCell[]): string =>
  row.map(({ name, large }) => (name === "" ? "_" : large ? `(${name})` : name)).join(" ");

export const row_of_text = (text: string): ShapeCell[] =>
  text
    .split(/[\s,;]+/)
    .filter(Boolean)
    .map((word) => {
      const large = /^\((.+)\)$/.exec(word);
      return { name: /^_+$/.test(word) ? "" : (large?.[1] ?? word), large: large !== null };
    });

// Runs of cavities of one size, each a row of the document.
function runs(row: readonly ShapeCell[]): ShapeCell[][] {
  const list: ShapeCell[][] = [];
  for (const cell of row) {
    const last = list.at(-1);
    if (last && last[0]?.large === cell.large) last.push(cell);
    else list.push([cell]);
  }
  return list;
}

// The geometry: equal pitches, as the plug had them where it had any.
export function rows_of(shape: PlugShape, before: readonly ConnectorRow[]): ConnectorRow[] {
  const all = widths(before);
  const width = all.length > 0 ? Math.min(...all) : usual_width_mm;
  const large = Math.max(usual_large_mm, ...all);
  const pitches = before.map((row) => row.pitch_mm ?? 0).filter((pitch) => pitch > 0);
  const pitch = pitches.length > 0 ? Math.min(...pitches) : usual_pitch_mm;
  const large_pitch = pitch * 1.5;
  return shape.flatMap((row, index) => {
    let x = 0;
    return runs(row).map((run): ConnectorRow => {
      const step = run[0]?.large ? large_pitch : pitch;
      const first = x + step / 2 - pitch / 2;
      x += run.length * step;
      return {
        cavities: run.map((cell) => cell.name),
        x_mm: Number(first.toFixed(3)),
        y_mm: Number((index * pitch * 1.25).toFixed(3)),
        pitch_mm: step,
        terminal_width_mm: run[0]?.large ? large : width,
      };
    });
  });
}

export const mirrored_shape = (shape: PlugShape): PlugShape => shape.map((row) => [...row].reverse());
export const turned_shape = (shape: PlugShape): PlugShape => mirrored_shape(shape).reverse();

export const corners = ["top left", "top right", "bottom left", "bottom right"] as const;
export type Corner = (typeof corners)[number];

// Numbers the cavities from 1, row by row, beginning at a corner. Gaps and sizes stay.
export function renumbered(shape: PlugShape, from: Corner): PlugShape {
  const up = from.startsWith("bottom");
  const left = from.endsWith("right");
  const next = shape.map((row) => row.map((cell) => ({ ...cell })));
  const rows = up ? [...next].reverse() : next;
  let number = 0;
  for (const row of rows)
    for (const cell of left ? [...row].reverse() : row)
      if (cell.name !== "") {
        number += 1;
        cell.name = String(number);
      }
  return next;
}

// Rows of so many cavities, numbered from the top left.
export const blank_shape = (counts: readonly number[]): PlugShape =>
  renumbered(
    counts.map((count) => Array.from({ length: count }, () => ({ name: "x", large: false }))),
    "top left",
  );

// What is wrong with a shape; empty if it can be used.
export function shape_problem(shape: PlugShape, needed: readonly string[]): string {
  const names = shape
    .flat()
    .map((cell) => cell.name)
    .filter(Boolean);
  if (names.length === 0) return "A plug has at least one cavity.";
  const twice = names.find((name, index) => names.indexOf(name) !== index);
  if (twice !== undefined) return `Cavity ${twice} is in it twice.`;
  const lacking = needed.filter((cavity) => !names.includes(cavity));
  return lacking.length > 0 ? `These cavities have pins or wires and must stay: ${lacking.join(", ")}.` : "";
}

// The cavities of a plug that pins, wires or the plan refer to.
export function cavities_in_use(doc: Graft, plug: Connector): string[] {
  const used = new Set<string>();
  for (const module of doc.modules ?? []) for (const pin of module.pins ?? []) if (pin.connector === plug.id) used.add(pin.cavity);
  const wires = [...(doc.wires ?? []), ...(doc.plan ?? []).flatMap((step) => [step.added ?? [], step].flat())];
  for (const one of wires) for (const end of [one.from, one.to]) if (end?.at === plug.id && end.cavity) used.add(end.cavity);
  return [...used];
}
