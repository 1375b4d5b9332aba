// Paints the part of the table that is in sight: words at the left or over their row, steps at the top, a mark where a
// step shows a mistake. The mark's shape tells what was read at that step, colour only repeats it.

import type { Matrix } from "../model/matrix";
import type { Fate } from "../model/proof";

// Lengths in CSS pixels.
export interface MatrixShape {
  names: number; // width of the words at the left; 0: they stand over their row
  head: number;
  row: number;
  column: number;
  text: number;
}

export interface MatrixSight {
  left: number; // scrolled by
  top: number;
  width: number;
  height: number;
}

export interface Cursor {
  row: number; // among the rows shown; -1: none
  step: number;
}

export interface MatrixPicture {
  matrix: Matrix;
  shown: readonly number[];
  fates: readonly Fate[];
  at: Cursor;
  shape: MatrixShape;
}

export function shape_for(narrow: boolean, root: number): MatrixShape {
  return narrow
    ? { names: 0, head: 3.1 * root, row: 3.6 * root, column: 2.4 * root, text: root }
    : { names: 26 * root, head: 3 * root, row: 1.6 * root, column: 1.4 * root, text: 0.875 * root };
}

export const whole_width = (picture: MatrixPicture): number =>
  Math.max(picture.shape.names + picture.matrix.steps.length * picture.shape.column + 8, 200);
export const whole_height = (picture: MatrixPicture): number => picture.shape.head + picture.shown.length * picture.shape.row;

interface Inks {
  sheet: string;
  ink: string;
  soft: string;
  line: string;
  act: string;
  act_soft: string;
  danger: string;
  good: string;
}

function inks_of(canvas: HTMLCanvasElement): Inks {
  const style = getComputedStyle(canvas);
  const ink = (name: string) => style.getPropertyValue(name).trim();
  return {
    sheet: ink("--sheet"),
    ink: ink("--ink"),
    soft: ink("--soft"),
    line: ink("--line"),
    act: ink("--act"),
    act_soft: ink("--act-soft"),
    danger: ink("--danger"),
    good: ink("--good"),
  };
}

export function paint_fate(to: CanvasRenderingContext2D, fate: Fate, x: number, y: number, size: number, inks: Pick<Inks, "ink" | "danger" | "good">): void {
  const half = size / 2;
  to.lineWidth = Math.max(1.5, size / 6);
  if (fate === "none") {
    to.fillStyle = inks.ink;
    to.fillRect(x - half, y - half, size, size);
  } else if (fate === "unreached") {
    to.strokeStyle = inks.ink;
    to.strokeRect(x - half + 1, y - half + 1, size - 2, size - 2);
  } else if (fate === "in") {
    to.strokeStyle = inks.good;
    to.beginPath();
    to.moveTo(x - half, y + 0.1 * half);
    to.lineTo(x - 0.2 * half, y + 0.8 * half);
    to.lineTo(x + half, y - 0.8 * half);
    to.stroke();
  } else {
    to.fillStyle = inks.danger;
    to.beginPath();
    to.moveTo(x, y - 1.15 * half);
    to.lineTo(x + 1.15 * half, y + half);
    to.lineTo(x - 1.15 * half, y + half);
    to.fill();
  }
}

// Cut with an ellipsis; what was cut once is remembered for its width and typeface.
const cut_before = new Map<string, string>();

function cut(to: CanvasRenderingContext2D, text: string, width: number): string {
  const key = `${to.font}|${Math.round(width)}|${text}`;
  const known = cut_before.get(key);
  if (known !== undefined) return known;
  let low = 0;
  let high = text.length;
  if (to.measureText(text).width <= width) low = high;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (to.measureText(`${text.slice(0, middle)}…`).width <= width) low = middle;
    else high = middle - 1;
  }
  const made = low === text.length ? text : `${text.slice(0, low)}…`;
  if (cut_before.size > 5000) cut_before.clear();
  cut_before.set(key, made);
  return made;
}

interface Range {
  from: number;
  to: number; // one past the last
}

function in_sight(offset: number, room: number, size: number, count: number): Range {
  return { from: Math.max(0, Math.floor(offset / size)), to: Math.min(count, Math.ceil((offset + room) / size)) };
}

function paint_body(to: CanvasRenderingContext2D, picture: MatrixPicture, sight: MatrixSight, inks: Inks, rows: Range, steps: Range): void {
  const { matrix, shown, fates, at, shape } = picture;
  const x_of = (step: number) => shape.names + step * shape.column - sight.left;
  const y_of = (row: number) => shape.head + row * shape.row - sight.top;
  to.fillStyle = inks.act_soft;
  if (at.row >= 0) to.fillRect(0, y_of(at.row), sight.width, shape.row);
  if (at.step >= 0) to.fillRect(x_of(at.step), shape.head, shape.column, sight.height);
  to.fillStyle = inks.line;
  for (let row = rows.from; row <= rows.to; row += 1) to.fillRect(0, Math.round(y_of(row)), sight.width, row % 5 === 0 ? 1 : 0.5);
  for (let step = steps.from; step <= steps.to; step += 1) to.fillRect(Math.round(x_of(step)), shape.head, step % 5 === 0 ? 1 : 0.5, y_of(rows.to) - shape.head);
  const cells = shape.names > 0 ? { top: 0, height: shape.row } : { top: 0.46 * shape.row, height: 0.54 * shape.row };
  const size = 0.5 * Math.min(shape.column, cells.height);
  for (let row = rows.from; row < rows.to; row += 1) {
    const one = matrix.rows[shown[row] ?? -1];
    for (const step of one?.steps ?? []) {
      if (step < steps.from || step >= steps.to) continue;
      paint_fate(to, fates[step] ?? "none", x_of(step) + shape.column / 2, y_of(row) + cells.top + cells.height / 2, size, inks);
    }
  }
  if (at.row >= 0 && at.step >= 0) {
    to.strokeStyle = inks.act;
    to.lineWidth = 3;
    to.strokeRect(x_of(at.step) + 1, y_of(at.row) + cells.top + 1, shape.column - 2, cells.height - 2);
  }
}

function paint_names(to: CanvasRenderingContext2D, picture: MatrixPicture, sight: MatrixSight, inks: Inks, rows: Range): void {
  const { matrix, shown, at, shape } = picture;
  const beside = shape.names > 0;
  to.textAlign = "left";
  to.textBaseline = "middle";
  if (beside) {
    to.fillStyle = inks.sheet;
    to.fillRect(0, shape.head, shape.names, sight.height);
  }
  for (let row = rows.from; row < rows.to; row += 1) {
    const one = matrix.rows[shown[row] ?? -1];
    if (!one) continue;
    const y = shape.head + row * shape.row - sight.top;
    // Words stand on their own ground: no line of the table runs through them.
    to.fillStyle = row === at.row ? inks.act_soft : inks.sheet;
    to.fillRect(0, y + 1, beside ? shape.names : sight.width, (beside ? shape.row : 0.46 * shape.row) - 1);
    to.font = `${row === at.row ? "600 " : ""}${shape.text}px system-ui, "DejaVu Sans", sans-serif`;
    to.fillStyle = one.steps.length > 0 ? inks.ink : inks.danger;
    const words = one.steps.length > 0 ? one.words : `No step: ${one.words}`;
    const room = (beside ? shape.names : sight.width) - 12;
    to.fillText(cut(to, words, room), 4, y + (beside ? shape.row : 0.46 * shape.row) / 2 + 1);
  }
  to.fillStyle = inks.soft;
  if (beside) to.fillRect(shape.names - 1, 0, 1, sight.height);
}

function paint_head(to: CanvasRenderingContext2D, picture: MatrixPicture, sight: MatrixSight, inks: Inks, steps: Range): void {
  const { fates, at, shape, matrix } = picture;
  to.fillStyle = inks.sheet;
  to.fillRect(0, 0, sight.width, shape.head);
  to.textAlign = "center";
  to.textBaseline = "middle";
  for (let step = steps.from; step < steps.to; step += 1) {
    const x = shape.names + (step + 0.5) * shape.column - sight.left;
    if (step === at.step) {
      to.fillStyle = inks.act_soft;
      to.fillRect(x - shape.column / 2, 0, shape.column, shape.head);
    }
    to.fillStyle = inks.ink;
    to.font = `${step === at.step ? "600 " : ""}${Math.min(shape.text, shape.column / 1.8)}px system-ui, "DejaVu Sans", sans-serif`;
    to.fillText(String(step + 1), x, 0.72 * shape.head);
    const fate = fates[step] ?? "none";
    if (fate !== "none") paint_fate(to, fate, x, 0.3 * shape.head, 0.26 * shape.head, inks);
    // A line between what is done in one state of the job and what in the next.
    if (step > 0 && matrix.steps[step]?.condition !== matrix.steps[step - 1]?.condition) {
      to.fillStyle = inks.ink;
      to.fillRect(Math.round(x - shape.column / 2), 0, 1.5, shape.head);
    }
  }
  if (shape.names > 0) {
    to.fillStyle = inks.sheet;
    to.fillRect(0, 0, shape.names, shape.head);
    to.fillStyle = inks.soft;
    to.textAlign = "left";
    to.font = `${shape.text}px system-ui, "DejaVu Sans", sans-serif`;
    to.fillText("Mistake, and the steps that show it", 4, 0.72 * shape.head);
  }
  to.fillStyle = inks.soft;
  to.fillRect(0, shape.head - 1, sight.width, 1);
}

export function paint_matrix(canvas: HTMLCanvasElement, picture: MatrixPicture, sight: MatrixSight): void {
  const to = canvas.getContext("2d", { alpha: false });
  if (!to) return;
  const dots = Math.min(window.devicePixelRatio || 1, 3);
  const width = Math.round(sight.width * dots);
  const height = Math.round(sight.height * dots);
  if (canvas.width !== width || canvas.height !== height) {
    canvas.width = width;
    canvas.height = height;
    canvas.style.width = `${sight.width}px`;
    canvas.style.height = `${sight.height}px`;
  }
  to.setTransform(dots, 0, 0, dots, 0, 0);
  const inks = inks_of(canvas);
  to.fillStyle = inks.sheet;
  to.fillRect(0, 0, sight.width, sight.height);
  const { shape, shown, matrix } = picture;
  const rows = in_sight(sight.top, sight.height - shape.head, shape.row, shown.length);
  const steps = in_sight(sight.left, sight.width - shape.names, shape.column, matrix.steps.length);
  paint_body(to, picture, sight, inks, rows, steps);
  paint_names(to, picture, sight, inks, rows);
  paint_head(to, picture, sight, inks, steps);
}

// What a point of the sight touches: a step alone in the head, a row alone in the words, both in a cell.
export function touched(picture: MatrixPicture, sight: MatrixSight, x: number, y: number): Cursor {
  const { shape, shown, matrix } = picture;
  const step = x < shape.names ? -1 : Math.floor((x - shape.names + sight.left) / shape.column);
  const row = y < shape.head ? -1 : Math.floor((y - shape.head + sight.top) / shape.row);
  const over = row >= 0 && shape.names === 0 && (y - shape.head + sight.top) % shape.row < 0.46 * shape.row;
  return { row: row < shown.length ? row : -1, step: over || step >= matrix.steps.length ? -1 : step };
}

