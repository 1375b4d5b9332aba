// The viewport onto the table: only the visible part is painted, on one canvas that stays in place while the box scrolls.
// One cell at a time is in the page for keys and screen readers: the one at the cursor.

import { useEffect, useRef } from "preact/hooks";
import { exposes, next_mark } from "../model/matrix";
import { result_text } from "../model/proof";
import { theme } from "../settings";
import { type Cursor, cell_at, type MatrixPicture, paint_matrix, type Viewport, whole_height, whole_width } from "./prove_matrix_paint";

const viewport_of = (box: HTMLElement): Viewport => ({
  left: box.scrollLeft,
  top: box.scrollTop,
  width: box.clientWidth,
  height: box.clientHeight,
});

// Scrolls just enough to bring the cursor into view.
function scroll_to_cursor(box: HTMLElement, picture: MatrixPicture): void {
  const { shape, at } = picture;
  if (at.row >= 0) {
    const top = at.row * shape.row;
    const space = box.clientHeight - shape.head - shape.row;
    box.scrollTop = Math.min(Math.max(box.scrollTop, top - space), top);
  }
  if (at.step >= 0) {
    const left = at.step * shape.column;
    const space = box.clientWidth - shape.names - shape.column;
    box.scrollLeft = Math.min(Math.max(box.scrollLeft, left - space), left);
  }
}

const within = (value: number, count: number) => Math.min(Math.max(value, 0), Math.max(count - 1, 0));

function moved(picture: MatrixPicture, rows_a_page: number, event: KeyboardEvent): Cursor | null {
  const { matrix, shown } = picture;
  const at = { row: Math.max(picture.at.row, 0), step: Math.max(picture.at.step, 0) };
  const jump = event.ctrlKey || event.metaKey;
  const to = (row: number, step: number) => ({ row: within(row, shown.length), step: within(step, matrix.steps.length) });
  const go = (down: number, across: number) => (jump ? next_mark(matrix, shown, at, down, across) : to(at.row + down, at.step + across));
  switch (event.key) {
    case "ArrowUp":
      return go(-1, 0);
    case "ArrowDown":
      return go(1, 0);
    case "ArrowLeft":
      return go(0, -1);
    case "ArrowRight":
      return go(0, 1);
    case "PageUp":
      return to(at.row - rows_a_page, at.step);
    case "PageDown":
      return to(at.row + rows_a_page, at.step);
    case "Home":
      return to(jump ? 0 : at.row, 0);
    case "End":
      return to(jump ? shown.length - 1 : at.row, matrix.steps.length - 1);
    default:
      return null;
  }
}

// What a screen reader finds: the head of the step at the cursor, the text of its row, and their cell.
function CursorCell({ picture }: { picture: MatrixPicture }) {
  const { matrix, shown, results, at, shape } = picture;
  const row = matrix.rows[shown[at.row] ?? -1];
  const step = matrix.steps[at.step];
  const anchor = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (!anchor.current) return;
    anchor.current.style.top = `${shape.head + Math.max(at.row, 0) * shape.row}px`;
    anchor.current.style.left = `${shape.names + Math.max(at.step, 0) * shape.column}px`;
  }, [at.row, at.step, shape]);
  const result = results[at.step] ?? "to_do";
  const detects = exposes(row, at.step);
  return (
    <div class="matrix-at" ref={anchor}>
      <div role="row" aria-rowindex={1} class="visually-hidden">
        <span role="columnheader" aria-colindex={1}>
          Fault
        </span>
        <span role="columnheader" aria-colindex={at.step + 2} data-result={step && result}>
          {step ? `Step ${at.step + 1}: ${step.text}, ${result_text[result]}` : "No step"}
        </span>
      </div>
      <div role="row" aria-rowindex={at.row + 2} aria-selected={at.row >= 0} class="visually-hidden">
        <span role="rowheader" aria-colindex={1}>
          {row?.text ?? "No fault"}
        </span>
        <span
          role="gridcell"
          id="matrix-at"
          data-step={at.step + 1}
          data-detects={detects}
          key={`${at.row} ${at.step}`}
          aria-colindex={at.step + 2}
          aria-selected={at.row >= 0 && at.step >= 0}
        >
          {row?.text ?? ""} {step ? `Step ${at.step + 1} ${detects ? `detects it, ${result_text[result]}` : "does not detect it"}` : ""}
        </span>
      </div>
    </div>
  );
}

export function MatrixGrid({ picture, pick }: { picture: MatrixPicture; pick: (at: Cursor) => void }) {
  const box = useRef<HTMLDivElement>(null);
  const content = useRef<HTMLDivElement>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const latest = useRef(picture);
  const frame_request = useRef(0);
  latest.current = picture;
  const paint = () => {
    cancelAnimationFrame(frame_request.current);
    frame_request.current = requestAnimationFrame(() => {
      if (box.current && canvas.current) paint_matrix(canvas.current, latest.current, viewport_of(box.current));
    });
  };
  useEffect(() => {
    if (!box.current) return;
    const watch = new ResizeObserver(paint);
    watch.observe(box.current);
    return () => {
      watch.disconnect();
      cancelAnimationFrame(frame_request.current);
    };
  }, []);
  useEffect(() => {
    if (!content.current) return;
    content.current.style.width = `${whole_width(picture)}px`;
    content.current.style.height = `${whole_height(picture)}px`;
  }, [picture.matrix, picture.shown, picture.shape]);
  useEffect(() => {
    if (box.current) scroll_to_cursor(box.current, latest.current);
  }, [picture.at.row, picture.at.step, picture.shown]);
  const colours = theme.value;
  useEffect(paint, [picture, colours]);

  const on_click = (event: MouseEvent) => {
    if (!box.current) return;
    const frame = box.current.getBoundingClientRect();
    const at = cell_at(
      picture,
      viewport_of(box.current),
      event.clientX - frame.left - box.current.clientLeft,
      event.clientY - frame.top - box.current.clientTop,
    );
    if (at.row >= 0 || at.step >= 0) pick(at);
  };
  const on_key = (event: KeyboardEvent) => {
    const rows = Math.max(1, Math.floor(((box.current?.clientHeight ?? 0) - picture.shape.head) / picture.shape.row) - 1);
    const to = moved(picture, rows, event);
    if (!to) return;
    event.preventDefault();
    pick(to);
  };
  return (
    <div
      class="matrix-grid"
      ref={box}
      role="grid"
      tabIndex={0}
      aria-label="Faults down, steps of the plan across. Arrow keys move; with Control they go to the next mark."
      aria-rowcount={picture.shown.length + 1}
      aria-colcount={picture.matrix.steps.length + 1}
      aria-activedescendant="matrix-at"
      onScroll={paint}
      onClick={on_click}
      onKeyDown={on_key}
    >
      <div class="matrix-content" ref={content} role="presentation">
        <canvas ref={canvas} aria-hidden="true" />
        <CursorCell picture={picture} />
      </div>
    </div>
  );
}
