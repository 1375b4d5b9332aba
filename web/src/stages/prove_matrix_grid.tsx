// The window onto the table: only what is in sight is painted, on one canvas that stands still while the window scrolls.
// One cell at a time is in the page for keys and screen readers: the one that the cursor is on.

import { useEffect, useRef } from "preact/hooks";
import { exposes, next_mark } from "../model/matrix";
import { fate_words } from "../model/proof";
import { theme } from "../settings";
import { paint_matrix, touched, whole_height, whole_width, type Cursor, type MatrixPicture, type MatrixSight } from "./prove_matrix_paint";

const sight_of = (box: HTMLElement): MatrixSight => ({ left: box.scrollLeft, top: box.scrollTop, width: box.clientWidth, height: box.clientHeight });

// The least scrolling that brings the cursor into sight.
function into_sight(box: HTMLElement, picture: MatrixPicture): void {
  const { shape, at } = picture;
  if (at.row >= 0) {
    const top = at.row * shape.row;
    const room = box.clientHeight - shape.head - shape.row;
    box.scrollTop = Math.min(Math.max(box.scrollTop, top - room), top);
  }
  if (at.step >= 0) {
    const left = at.step * shape.column;
    const room = box.clientWidth - shape.names - shape.column;
    box.scrollLeft = Math.min(Math.max(box.scrollLeft, left - room), left);
  }
}

const within = (value: number, count: number) => Math.min(Math.max(value, 0), Math.max(count - 1, 0));

function moved(picture: MatrixPicture, rows_a_page: number, event: KeyboardEvent): Cursor | null {
  const { matrix, shown } = picture;
  const at = { row: Math.max(picture.at.row, 0), step: Math.max(picture.at.step, 0) };
  const leap = event.ctrlKey || event.metaKey;
  const to = (row: number, step: number) => ({ row: within(row, shown.length), step: within(step, matrix.steps.length) });
  const go = (down: number, across: number) => (leap ? next_mark(matrix, shown, at, down, across) : to(at.row + down, at.step + across));
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
      return to(leap ? 0 : at.row, 0);
    case "End":
      return to(leap ? shown.length - 1 : at.row, matrix.steps.length - 1);
    default:
      return null;
  }
}

// What a screen reader finds: the head of the cursor's step, the words of its row, and the cell between them.
function CursorCell({ picture }: { picture: MatrixPicture }) {
  const { matrix, shown, fates, at, shape } = picture;
  const row = matrix.rows[shown[at.row] ?? -1];
  const step = matrix.steps[at.step];
  const place = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (!place.current) return;
    place.current.style.top = `${shape.head + Math.max(at.row, 0) * shape.row}px`;
    place.current.style.left = `${shape.names + Math.max(at.step, 0) * shape.column}px`;
  }, [at.row, at.step, shape]);
  const fate = fates[at.step] ?? "none";
  const shows = exposes(row, at.step);
  return (
    <div class="matrix-at" ref={place}>
      <div role="row" aria-rowindex={1} class="unseen">
        <span role="columnheader" aria-colindex={1}>
          Mistake
        </span>
        <span role="columnheader" aria-colindex={at.step + 2}>
          {step ? `Step ${at.step + 1}: ${step.words}, ${fate_words[fate]}` : "No step"}
        </span>
      </div>
      <div role="row" aria-rowindex={at.row + 2} aria-selected={at.row >= 0} class="unseen">
        <span role="rowheader" aria-colindex={1}>
          {row?.words ?? "No mistake"}
        </span>
        <span role="gridcell" id="matrix-at" key={`${at.row} ${at.step}`} aria-colindex={at.step + 2} aria-selected={at.row >= 0 && at.step >= 0}>
          {row?.words ?? ""} {step ? `Step ${at.step + 1} ${shows ? `shows it, ${fate_words[fate]}` : "does not show it"}` : ""}
        </span>
      </div>
    </div>
  );
}

export function MatrixGrid({ picture, pick }: { picture: MatrixPicture; pick: (at: Cursor) => void }) {
  const box = useRef<HTMLDivElement>(null);
  const room = useRef<HTMLDivElement>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const now = useRef(picture);
  const asked = useRef(0);
  now.current = picture;
  const paint = () => {
    cancelAnimationFrame(asked.current);
    asked.current = requestAnimationFrame(() => {
      if (box.current && canvas.current) paint_matrix(canvas.current, now.current, sight_of(box.current));
    });
  };
  useEffect(() => {
    if (!box.current) return;
    const watch = new ResizeObserver(paint);
    watch.observe(box.current);
    return () => {
      watch.disconnect();
      cancelAnimationFrame(asked.current);
    };
  }, []);
  useEffect(() => {
    if (!room.current) return;
    room.current.style.width = `${whole_width(picture)}px`;
    room.current.style.height = `${whole_height(picture)}px`;
  }, [picture.matrix, picture.shown, picture.shape]);
  useEffect(() => {
    if (box.current) into_sight(box.current, now.current);
  }, [picture.at.row, picture.at.step, picture.shown]);
  const colours = theme.value;
  useEffect(paint, [picture, colours]);

  const choose = (event: MouseEvent) => {
    if (!box.current) return;
    const frame = box.current.getBoundingClientRect();
    const at = touched(picture, sight_of(box.current), event.clientX - frame.left - box.current.clientLeft, event.clientY - frame.top - box.current.clientTop);
    if (at.row >= 0 || at.step >= 0) pick(at);
  };
  const keys = (event: KeyboardEvent) => {
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
      aria-label="Mistakes down, steps of the plan across. Arrow keys move; with Control they go to the next mark."
      aria-rowcount={picture.shown.length + 1}
      aria-colcount={picture.matrix.steps.length + 1}
      aria-activedescendant="matrix-at"
      onScroll={paint}
      onClick={choose}
      onKeyDown={keys}
    >
      <div class="matrix-room" ref={room} role="presentation">
        <canvas ref={canvas} aria-hidden="true" />
        <CursorCell picture={picture} />
      </div>
    </div>
  );
}
