// Paints the visible part of the table: faults at the left or above their row, steps at the top, a mark where a step
// detects a fault. The shape of the mark says what the step read; colour only repeats it.

import type { Matrix } from "../model/matrix";
import type { StepResult } from "../model/proof";

// Lengths in CSS pixels.
export interface MatrixShape {
  names: number; // width of the faults' text at the left; 0: it is above their row
  head: number;
  row: number;
  column: number;
  text: number;
}

export interface Viewport {
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
  results: readonly StepResult[];
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

export function paint_result(
  to: CanvasRenderingContext2D,
  result: StepResult,
  x: number,
  y: number,
  size: number,
  inks: Pick<Inks, "ink" | "danger" | "good">,
): void {
  const half = size / 2;
  to.lineWidth = Math.max(1.5, size / 6);
  if (result === "to_do") {
    to.fillStyle = inks.ink;
    to.fillRect(x - half, y - half, size, size);
  } else if (result === "unreached") {
    to.strokeStyle = inks.ink;
    to.strokeRect(x - half + 1, y - half + 1, size - 2, size - 2);
  } else if (result === "in_band") {
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

// Shortened with an ellipsis; results are cached by width and font.
const shortened = new Map<string, string>();

function shorten(to: CanvasRenderingContext2D, text: string, width: number): string {
  const key = `${to.font}|${Math.round(width)}|${text}`;
  const known = shortened.get(key);
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
  if (shortened.size > 5000) shortened.clear();
  shortened.set(key, made);
  return made;
}

interface Range {
  from: number;
  to: number; // one past the last
}

function visible_range(offset: number, space: number, size: number, count: number): Range {
  return { from: Math.max(0, Math.floor(offset / size)), to: Math.min(count, Math.ceil((offset + space) / size)) };
}

function paint_body(to: CanvasRenderingContext2D, picture: MatrixPicture, viewport: Viewport, inks: Inks, rows: Range, steps: Range): void {
  const { matrix, shown, results, at, shape } = picture;
  const x_of = (step: number) => shape.names + step * shape.column - viewport.left;
  const y_of = (row: number) => shape.head + row * shape.row - viewport.top;
  to.fillStyle = inks.act_soft;
  if (at.row >= 0) to.fillRect(0, y_of(at.row), viewport.width, shape.row);
  if (at.step >= 0) to.fillRect(x_of(at.step), shape.head, shape.column, viewport.height);
  to.fillStyle = inks.line;
  for (let row = rows.from; row <= rows.to; row += 1) to.fillRect(0, Math.round(y_of(row)), viewport.width, row % 5 === 0 ? 1 : 0.5);
  for (let step = steps.from; step <= steps.to; step += 1)
    to.fillRect(Math.round(x_of(step)), shape.head, step % 5 === 0 ? 1 : 0.5, y_of(rows.to) - shape.head);
  const cells = shape.names > 0 ? { top: 0, height: shape.row } : { top: 0.46 * shape.row, height: 0.54 * shape.row };
  const size = 0.5 * Math.min(shape.column, cells.height);
  for (let row = rows.from; row < rows.to; row += 1) {
    const one = matrix.rows[shown[row] ?? -1];
    for (const step of one?.steps ?? []) {
      if (step < steps.from || step >= steps.to) continue;
      paint_result(to, results[step] ?? "to_do", x_of(step) + shape.column / 2, y_of(row) + cells.top + cells.height / 2, size, inks);
    }
  }
  if (at.row >= 0 && at.step >= 0) {
    to.strokeStyle = inks.act;
    to.lineWidth = 3;
    to.strokeRect(x_of(at.step) + 1, y_of(at.row) + cells.top + 1, shape.column - 2, cells.height - 2);
  }
}

function paint_names(to: CanvasRenderingContext2D, picture: MatrixPicture, viewport: Viewport, inks: Inks, rows: Range): void {
  const { matrix, shown, at, shape } = picture;
  const beside = shape.names > 0;
  to.textAlign = "left";
  to.textBaseline = "middle";
  if (beside) {
    to.fillStyle = inks.sheet;
    to.fillRect(0, shape.head, shape.names, viewport.height);
  }
  for (let row = rows.from; row < rows.to; row += 1) {
    const one = matrix.rows[shown[row] ?? -1];
    if (!one) continue;
    const y = shape.head + row * shape.row - viewport.top;
    // The text has its own background, so that no line of the table runs through it.
    to.fillStyle = row === at.row ? inks.act_soft : inks.sheet;
    to.fillRect(0, y + 1, beside ? shape.names : viewport.width, (beside ? shape.row : 0.46 * shape.row) - 1);
    to.font = `${row === at.row ? "600 " : ""}${shape.text}px system-ui, "DejaVu Sans", sans-serif`;
    to.fillStyle = one.steps.length > 0 ? inks.ink : inks.danger;
    const text = one.steps.length > 0 ? one.text : `Not detected: ${one.text}`;
    const space = (beside ? shape.names : viewport.width) - 12;
    to.fillText(shorten(to, text, space), 4, y + (beside ? shape.row : 0.46 * shape.row) / 2 + 1);
  }
  to.fillStyle = inks.soft;
  if (beside) to.fillRect(shape.names - 1, 0, 1, viewport.height);
}

function paint_head(to: CanvasRenderingContext2D, picture: MatrixPicture, viewport: Viewport, inks: Inks, steps: Range): void {
  const { results, at, shape, matrix } = picture;
  to.fillStyle = inks.sheet;
  to.fillRect(0, 0, viewport.width, shape.head);
  to.textAlign = "center";
  to.textBaseline = "middle";
  for (let step = steps.from; step < steps.to; step += 1) {
    const x = shape.names + (step + 0.5) * shape.column - viewport.left;
    if (step === at.step) {
      to.fillStyle = inks.act_soft;
      to.fillRect(x - shape.column / 2, 0, shape.column, shape.head);
    }
    to.fillStyle = inks.ink;
    to.font = `${step === at.step ? "600 " : ""}${Math.min(shape.text, shape.column / 1.8)}px system-ui, "DejaVu Sans", sans-serif`;
    to.fillText(String(step + 1), x, 0.72 * shape.head);
    const result = results[step] ?? "to_do";
    if (result !== "to_do") paint_result(to, result, x, 0.3 * shape.head, 0.26 * shape.head, inks);
    // A line between the steps of one condition and those of the next.
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
    to.fillText("Fault, and the steps that detect it", 4, 0.72 * shape.head);
  }
  to.fillStyle = inks.soft;
  to.fillRect(0, shape.head - 1, viewport.width, 1);
}

export function paint_matrix(canvas: HTMLCanvasElement, picture: MatrixPicture, viewport: Viewport): void {
  const to = canvas.getContext("2d", { alpha: false });
  if (!to) return;
  const dots = Math.min(window.devicePixelRatio || 1, 3);
  const width = Math.round(viewport.width * dots);
  const height = Math.round(viewport.height * dots);
  if (canvas.width !== width || canvas.height !== height) {
    canvas.width = width;
    canvas.height = height;
    canvas.style.width = `${viewport.width}px`;
    canvas.style.height = `${viewport.height}px`;
  }
  to.setTransform(dots, 0, 0, dots, 0, 0);
  const inks = inks_of(canvas);
  to.fillStyle = inks.sheet;
  to.fillRect(0, 0, viewport.width, viewport.height);
  const { shape, shown, matrix } = picture;
  const rows = visible_range(viewport.top, viewport.height - shape.head, shape.row, shown.length);
  const steps = visible_range(viewport.left, viewport.width - shape.names, shape.column, matrix.steps.length);
  paint_body(to, picture, viewport, inks, rows, steps);
  paint_names(to, picture, viewport, inks, rows);
  paint_head(to, picture, viewport, inks, steps);
}

// What is at a point of the viewport: only a step in the head, only a row in its text, both in a cell.
export function cell_at(picture: MatrixPicture, viewport: Viewport, x: number, y: number): Cursor {
  const { shape, shown, matrix } = picture;
  const step = x < shape.names ? -1 : Math.floor((x - shape.names + viewport.left) / shape.column);
  const row = y < shape.head ? -1 : Math.floor((y - shape.head + viewport.top) / shape.row);
  const over = row >= 0 && shape.names === 0 && (y - shape.head + viewport.top) % shape.row < 0.46 * shape.row;
  return { row: row < shown.length ? row : -1, step: over || step >= matrix.steps.length ? -1 : step };
}
