// A table that is edited cell by cell, like a spreadsheet: keys, mouse and touch, copy and paste, fill down, find, sort.
// Only the rows in view are in the page; the row at the cursor always is, for screen readers.

import type { ComponentChildren } from "preact";
import { useEffect, useId, useLayoutEffect, useMemo, useRef, useState } from "preact/hooks";
import { drop_cell, keep_cell, kept_cell } from "./grid_draft";
import { GridEditor, type Leave } from "./grid_editor";
import { type Area, type Copied, cleared, copied, filled_down, pasted, typed } from "./grid_edits";
import { cell_id, GridLine } from "./grid_line";
import { found, in_kept_order, ordered, type Sorting } from "./grid_order";
import { cells_in, clamped, everything, moved_to, rectangle_of, type Selection, type Spot, spot_after, start } from "./grid_selection";
import { GridTools } from "./grid_tools";
import { type EditList, type GridColumn, type GridEdit, type GridRow, why_fixed } from "./grid_types";

interface Props<Row extends GridRow> {
  label: string; // "Wires"
  one: string; // "wire"
  rows: readonly Row[];
  columns: readonly GridColumn<Row>[];
  name: (row: Row) => string;
  apply: (edits: GridEdit<Row>[]) => void;
  check?: (edits: GridEdit<Row>[]) => string; // why the edits cannot be made together; empty: they can
  add?: () => void;
  duplicate?: (rows: Row[]) => void;
  remove?: (rows: Row[]) => void;
  chosen?: (row: Row | undefined) => void; // which row has the cursor
  empty: string;
  keep?: string; // which table this is: what is half-typed then survives another stage and a reload
  children?: ComponentChildren; // further tools
}

interface Editing {
  text: string;
  fresh: boolean;
  refused: string;
}

// What was copied last, in whichever table.
let last_copied: Copied | null = null;

const overscan = 8;

// The height of a row is that of a target: larger under a finger.
function row_height(): number {
  const target = getComputedStyle(document.documentElement).getPropertyValue("--target");
  return Number.parseFloat(target) || 36;
}

function use_row_height(): number {
  const [height, set_height] = useState(row_height);
  useEffect(() => {
    const measure = () => set_height(row_height());
    window.addEventListener("resize", measure);
    return () => window.removeEventListener("resize", measure);
  }, []);
  return height;
}

interface Kept {
  key: string;
  places: Map<string, number>;
  known: Set<string>;
}

function use_shown<Row extends GridRow>(rows: readonly Row[], columns: readonly GridColumn<Row>[], find: string, sorting: Sorting | null) {
  const kept = useRef<Kept | null>(null);
  const key = JSON.stringify([find, sorting]);
  return useMemo(() => {
    if (kept.current?.key !== key) {
      const list = ordered(found(rows, columns, find), columns, sorting);
      kept.current = { key, places: new Map(list.map((row, place) => [row.id, place])), known: new Set(rows.map((row) => row.id)) };
      return list;
    }
    return in_kept_order(rows, kept.current.places, kept.current.known);
  }, [rows, columns, key]);
}

// Which rows are in view, a few more on either side; changes only every few rows while one scrolls.
function use_view(box: { current: HTMLDivElement | null }, height: number, count: number) {
  const [view, set_view] = useState({ from: 0, to: 30 });
  const measure = () => {
    if (!box.current) return;
    const from = Math.max(0, Math.floor(box.current.scrollTop / height / 4) * 4 - overscan);
    const to = from + Math.ceil(box.current.clientHeight / height) + 2 * overscan + 4;
    set_view((now) => (now.from === from && now.to === to ? now : { from, to }));
  };
  useLayoutEffect(measure, [height, count]);
  return { view, measure };
}

const spot_of = (event: Event): Spot | null => {
  const cell = event.target instanceof Element ? event.target.closest("[data-column]") : null;
  return cell instanceof HTMLElement ? { row: Number(cell.dataset.row), column: Number(cell.dataset.column) } : null;
};

const is_text_key = (event: KeyboardEvent): boolean => event.key.length === 1 && !event.ctrlKey && !event.metaKey && !event.altKey;

// Scrolls just enough to bring a cell out from under the head row and the first column.
function bring_into_view(box: HTMLDivElement, { row, column }: Spot, height: number): void {
  const head = height;
  const top = row * height;
  if (row >= 0) {
    if (top < box.scrollTop) box.scrollTop = top;
    else if (top + height > box.scrollTop + box.clientHeight - head) box.scrollTop = top + height - box.clientHeight + head;
  }
  const cells = box.querySelectorAll<HTMLElement>(".grid-head [role=columnheader]");
  const cell = cells[column];
  const first = cells[0];
  if (!cell || !first || column === 0) return;
  const sticky = getComputedStyle(first).position === "sticky" ? first.offsetWidth : 0;
  const left = cell.offsetLeft;
  if (left - sticky < box.scrollLeft) box.scrollLeft = left - sticky;
  else if (left + cell.offsetWidth > box.scrollLeft + box.clientWidth) box.scrollLeft = left + cell.offsetWidth - box.clientWidth;
}

function refusal_text<Row extends GridRow>({ edits, refused }: EditList<Row>, beyond: number): string {
  const [first] = refused;
  const lines = beyond > 0 ? ` ${beyond} ${beyond === 1 ? "line" : "lines"} found no row: add rows first, or use Import.` : "";
  if (!first) return lines.trim();
  const count = edits.length + refused.length;
  const which = refused.length === 1 ? "A cell was" : `${refused.length} of ${count} cells were`;
  return `${which} left as before. ${first.column} of ${first.row}, "${first.text}": ${first.reason}${lines}`;
}

// A text that its cell may cut off is written out below the table.
function long_text<Row extends GridRow>(column: GridColumn<Row>, row: Row): string {
  const text = column.text(row);
  return text.length > 12 ? `${column.head}: ${text}` : "";
}

export function Grid<Row extends GridRow>(props: Props<Row>) {
  const { label, one, rows, columns, name, apply, keep = "" } = props;
  const id = useId();
  const box = useRef<HTMLDivElement>(null);
  const height = use_row_height();
  const [find, set_find] = useState("");
  const [sorting, set_sorting] = useState<Sorting | null>(null);
  const shown = use_shown(rows, columns, find, sorting);
  const { view, measure } = use_view(box, height, shown.length);
  const [half_typed] = useState(() => kept_cell(keep, shown, columns));
  const [kept, set_selection] = useState<Selection>(half_typed ? { anchor: half_typed.spot, at: half_typed.spot } : start);
  const [editing, set_editing] = useState<Editing | null>(half_typed && { text: half_typed.text, fresh: true, refused: "" });
  const [selecting, set_selecting] = useState(false);
  const [notice, set_notice] = useState("");
  const draft = useRef(half_typed?.text ?? "");
  const is_open = useRef(half_typed !== null); // an edit; a blur may come after it was closed
  const dragging = useRef(false);
  const leaving = useRef(false);
  const extent = {
    rows: shown.length,
    columns: columns.length,
    page: Math.max(1, Math.floor((box.current?.clientHeight ?? 400) / height) - 2),
  };
  const selection = clamped(kept, extent);
  const selected = rectangle_of(selection);
  const { at } = selection;
  const row = shown[at.row];
  const column = columns[at.column];
  const area: Area<Row> = { rows: shown, columns, selected, name };

  const select = (to: Spot, extend: boolean) => {
    set_selection(moved_to(selection, to, extend, extent));
    set_notice("");
  };
  useLayoutEffect(() => {
    if (box.current) bring_into_view(box.current, at, height);
  }, [at.row, at.column, height]);
  useEffect(() => props.chosen?.(row), [row]);

  // Rows that were added are wanted next: the cursor goes to the first of them.
  const before = useRef(rows.length);
  const wanted_new = useRef(false);
  useLayoutEffect(() => {
    if (wanted_new.current && rows.length > before.current) {
      wanted_new.current = false;
      const spot = { row: Math.max(0, shown.length - (rows.length - before.current)), column: 0 };
      set_selection({ anchor: spot, at: spot });
      box.current?.focus({ preventScroll: true });
    }
    before.current = rows.length;
  }, [rows.length]);

  const run = (list: EditList<Row>, beyond = 0) => {
    const reason = list.edits.length > 0 ? (props.check?.(list.edits) ?? "") : "";
    set_notice(reason ? `Nothing was changed. ${reason}` : refusal_text(list, beyond));
    if (list.edits.length > 0 && !reason) apply(list.edits);
  };
  const edit = (text: string | null) => {
    if (!row || !column) return;
    const fixed = why_fixed(column, row);
    set_notice(fixed);
    if (fixed) return;
    is_open.current = true;
    draft.current = text ?? column.text(row);
    set_editing({ text: draft.current, fresh: text !== null, refused: "" });
  };
  const go_on = (leave: Leave) => {
    const steps = { down: [1, 0], up: [-1, 0], right: [0, 1], left: [0, -1], stay: [0, 0] } as const;
    const [down, across] = steps[leave];
    if (leave !== "stay") select({ row: Math.max(0, at.row + down), column: at.column + across }, false);
  };
  // False if the text was refused: the cell stays in edit.
  const commit = (text: string, leave: Leave): boolean => {
    if (!row || !column || !is_open.current) return true;
    const list = typed(area, row, column, text);
    const reason = list.refused[0]?.reason ?? (list.edits.length > 0 ? (props.check?.(list.edits) ?? "") : "");
    if (reason) {
      set_editing({ text, fresh: true, refused: reason });
      return false;
    }
    is_open.current = false;
    drop_cell(keep);
    set_editing(null);
    set_notice("");
    if (list.edits.length > 0) apply(list.edits);
    if (leave !== "stay" || document.activeElement?.classList.contains("grid-input")) box.current?.focus({ preventScroll: true });
    go_on(leave);
    return true;
  };
  const cancel = () => {
    is_open.current = false;
    drop_cell(keep);
    set_editing(null);
    box.current?.focus({ preventScroll: true });
  };
  const sort = (index: number) => {
    const key = columns[index]?.key ?? "";
    set_sorting((now) => (now?.column !== key ? { column: key, down: false } : now.down ? null : { column: key, down: true }));
  };

  const tab = (event: KeyboardEvent) => {
    const to = at.column + (event.shiftKey ? -1 : 1);
    // At the end of a row, or after Escape, Tab leaves the table.
    if (leaving.current || to < 0 || to >= columns.length) return;
    event.preventDefault();
    select({ row: at.row, column: to }, false);
  };
  const command = (event: KeyboardEvent): boolean => {
    const key = event.key.toLowerCase();
    if (key === "a") set_selection(everything(extent));
    else if (key === "d") run(filled_down(area));
    else return false;
    return true;
  };
  const act = (event: KeyboardEvent): boolean => {
    const with_control = event.ctrlKey || event.metaKey;
    const spot = spot_after(event.key, selection, with_control, extent);
    if (spot) select(spot, event.shiftKey);
    else if (with_control) return command(event);
    else if (at.row < 0) {
      if (event.key !== "Enter" && event.key !== " ") return false;
      sort(at.column);
    } else if (event.key === "Enter" || event.key === "F2") edit(null);
    else if (event.key === "Delete" || event.key === "Backspace") run(cleared(area));
    else if (event.key === " " && event.shiftKey)
      set_selection({ anchor: { row: at.row, column: 0 }, at: { row: at.row, column: columns.length - 1 } });
    else if (is_text_key(event)) edit(event.key);
    else return false;
    return true;
  };
  const on_key = (event: KeyboardEvent) => {
    if (editing || event.isComposing) return;
    if (event.key === "Tab") {
      tab(event);
      return;
    }
    leaving.current = event.key === "Escape";
    if (event.key === "Escape") {
      set_selection({ anchor: at, at });
      set_selecting(false);
      set_notice("Tab now leaves the table.");
    } else if (act(event)) event.preventDefault();
  };

  const on_down = (event: PointerEvent) => {
    const spot = spot_of(event);
    if (!spot || event.button !== 0) return;
    leaving.current = false;
    const same = spot.row === at.row && spot.column === at.column;
    if (editing) {
      if (same) return;
      event.preventDefault();
      if (!commit(draft.current, "stay")) return;
    }
    if (spot.row < 0) return;
    if (event.pointerType === "mouse") {
      dragging.current = true;
      select(spot, event.shiftKey);
    }
  };
  const on_move = (event: PointerEvent) => {
    if (!dragging.current || editing) return;
    if (event.buttons !== 1) {
      dragging.current = false;
      return;
    }
    // At the edge the table scrolls on.
    const frame = box.current?.getBoundingClientRect();
    if (box.current && frame && event.clientY > frame.bottom - 16) box.current.scrollTop += height / 2;
    if (box.current && frame && event.clientY < frame.top + height) box.current.scrollTop -= height / 2;
    const spot = spot_of(event);
    if (spot && spot.row >= 0 && (spot.row !== at.row || spot.column !== at.column)) select(spot, true);
  };
  // A finger scrolls; a tap selects, a second tap on the cell edits it.
  const on_click = (event: MouseEvent) => {
    const spot = spot_of(event);
    if (!spot) return;
    if (spot.row < 0) {
      sort(spot.column);
      return;
    }
    const touch = !(event instanceof PointerEvent) || event.pointerType !== "mouse";
    if (!touch || editing) return;
    const same = spot.row === at.row && spot.column === at.column;
    if (same && !selecting) edit(null);
    else select(spot, selecting);
  };
  const on_copy = (event: ClipboardEvent) => {
    if (editing) return;
    event.preventDefault();
    last_copied = copied(area);
    event.clipboardData?.setData("text/plain", last_copied.text);
    set_notice(`${cells_in(selected)} ${cells_in(selected) === 1 ? "cell" : "cells"} copied.`);
    if (event.type === "cut") run(cleared(area));
  };
  const on_paste = (event: ClipboardEvent) => {
    if (editing) return;
    event.preventDefault();
    const text = event.clipboardData?.getData("text/plain") ?? "";
    if (text === "") return;
    const list = pasted(area, text, last_copied);
    run(list, list.beyond);
  };

  const in_view = shown.slice(view.from, view.to).map((_, index) => view.from + index);
  if (row && (at.row < view.from || at.row >= view.to)) in_view.push(at.row);
  const chosen_rows = () => shown.slice(selected.top, selected.bottom + 1);
  // The first column stays in sight: on a phone it must leave space for the others.
  const widths = columns.map(({ width }, index) => (index === 0 ? `min(${width}rem, 36vw)` : `minmax(${width}rem, ${width}fr)`));
  const whole_width = columns.reduce((sum, { width }) => sum + width, 0);
  const several = cells_in(selected) > 1;
  return (
    <div class="grid-part">
      <GridTools
        label={label}
        one={one}
        find={find}
        set_find={set_find}
        shown={shown.length}
        all={rows.length}
        fill={() =>
          selected.top === selected.bottom ? set_notice("Select the cell to copy and the cells below it.") : run(filled_down(area))
        }
        selecting={selecting}
        set_selecting={set_selecting}
        add={
          props.add &&
          (() => {
            wanted_new.current = true;
            props.add?.();
          })
        }
        duplicate={
          props.duplicate &&
          (() => {
            wanted_new.current = true;
            props.duplicate?.(chosen_rows());
          })
        }
        remove={props.remove && (() => props.remove?.(chosen_rows()))}
      >
        {props.children}
      </GridTools>
      <div
        ref={box}
        class="grid"
        role="grid"
        tabIndex={0}
        aria-label={label}
        aria-rowcount={shown.length + 1}
        aria-colcount={columns.length}
        aria-multiselectable
        aria-activedescendant={at.row < 0 ? `${id}-head-${at.column}` : row ? cell_id(id, at.row, at.column) : undefined}
        style={{ "--grid-columns": widths.join(" "), "--grid-row": `${height}px`, "--grid-width": `${whole_width}rem` }}
        onScroll={measure}
        onKeyDown={on_key}
        onPointerDown={on_down}
        onPointerMove={on_move}
        onPointerUp={() => (dragging.current = false)}
        onClick={on_click}
        onDblClick={(event) => {
          const spot = spot_of(event);
          if (spot && spot.row >= 0 && !editing) edit(null);
        }}
        onCopy={on_copy}
        onCut={on_copy}
        onPaste={on_paste}
      >
        <div class="grid-head" role="row" aria-rowindex={1}>
          {columns.map((one_column, index) => {
            const mine = sorting?.column === one_column.key;
            return (
              <div
                key={one_column.key}
                id={`${id}-head-${index}`}
                class={at.row < 0 && at.column === index ? "grid-cell grid-cursor" : "grid-cell"}
                role="columnheader"
                aria-colindex={index + 1}
                aria-sort={mine ? (sorting?.down ? "descending" : "ascending") : "none"}
                data-row={-1}
                data-column={index}
                title={`Sort by ${one_column.head}`}
              >
                {one_column.head}
                {mine && <span aria-hidden="true">{sorting?.down ? " ▼" : " ▲"}</span>}
              </div>
            );
          })}
        </div>
        {shown.length > 0 && (
          <div class="grid-body" role="rowgroup" style={{ height: `${shown.length * height}px` }}>
            {in_view.map((index) => {
              const here = shown[index];
              if (!here) return null;
              const inside = index >= selected.top && index <= selected.bottom && at.row >= 0;
              const cursor = index === at.row ? at.column : -1;
              return (
                <GridLine
                  key={here.id}
                  grid={id}
                  row={here}
                  index={index}
                  columns={columns}
                  height={height}
                  left={inside ? selected.left : -1}
                  right={inside ? selected.right : -1}
                  cursor={cursor}
                  version={columns}
                  editor={
                    cursor >= 0 && editing && column ? (
                      <GridEditor
                        key={`${here.id} ${column.key}`}
                        row={here}
                        column={column}
                        initial={editing.text}
                        fresh={editing.fresh}
                        refused={editing.refused}
                        commit={commit}
                        cancel={cancel}
                        typing={(text) => {
                          draft.current = text;
                          if (row && column) keep_cell(keep, row, column, text);
                        }}
                      />
                    ) : null
                  }
                />
              );
            })}
          </div>
        )}
      </div>
      {shown.length === 0 && <p class="soft">{rows.length === 0 ? props.empty : `Nothing in ${label} matches "${find}".`}</p>}
      <p class="grid-notice soft">
        <span role="status">
          {notice || (several ? `${selected.bottom - selected.top + 1} rows × ${selected.right - selected.left + 1} columns selected` : "")}
        </span>
        {!notice && !several && row && column && <span aria-hidden="true">{long_text(column, row)}</span>}
      </p>
    </div>
  );
}
