// Which step shows which mistake: the whole plan as a table to move about in.

import { useMemo, useState } from "preact/hooks";
import type { ProveReport, Reading } from "../api_types";
import { exposes, fates_of, matrix_of, no_filter, rows_shown, type Matrix, type MatrixFilter } from "../model/matrix";
import { fate_words, type Fate } from "../model/proof";
import { graft_path } from "../net/answer";
import { Mark } from "../parts/mark";
import { route } from "../route";
import { narrow } from "./compare_face";
import { MatrixGrid } from "./prove_matrix_grid";
import { shape_for, type Cursor, type MatrixPicture } from "./prove_matrix_paint";
import { FaultTold, StepTold } from "./prove_matrix_told";

type Switch = "harmful" | "unexposed" | "open";

const switches: readonly (readonly [Switch, string])[] = [
  ["harmful", "Only what could damage or burn"],
  ["unexposed", "Only what no step shows"],
  ["open", "Only what no reading has ruled out yet"],
];

function Filters({ filter, take }: { filter: MatrixFilter; take: (filter: MatrixFilter) => void }) {
  return (
    <fieldset class="matrix-filters" aria-label="Which mistakes are listed">
      {switches.map(([name, words]) => (
        <label key={name} class="tickbox">
          <input type="checkbox" checked={filter[name]} onChange={() => take({ ...filter, [name]: !filter[name] })} /> {words}
        </label>
      ))}
      <label class="field">
        <span class="field-name">With these words in it</span>
        <span class="field-box">
          <input type="search" value={filter.words} placeholder="a wire, a plug, a device" onInput={(event) => take({ ...filter, words: event.currentTarget.value })} />
        </span>
      </label>
    </fieldset>
  );
}

function Legend() {
  return (
    <ul class="matrix-legend" aria-label="What the marks mean">
      <li>
        <svg class="mark-todo" viewBox="0 0 16 16" width="16" height="16" aria-hidden="true">
          <rect x="3" y="3" width="10" height="10" fill="currentColor" />
        </svg>{" "}
        shows it, {fate_words.none}
      </li>
      <li>
        <Mark name="holds" word={fate_words.in} />: ruled out
      </li>
      <li>
        <Mark name="fails" word={fate_words.out} />: may be it
      </li>
      <li>
        <svg class="mark-todo" viewBox="0 0 16 16" width="16" height="16" aria-hidden="true">
          <rect x="3" y="3" width="10" height="10" fill="none" stroke="currentColor" stroke-width="2" />
        </svg>{" "}
        {fate_words.unreached}
      </li>
    </ul>
  );
}

// For a finger that is too broad for a cell: one row or step at a time.
function Nudges({ at, rows, steps, pick }: { at: Cursor; rows: number; steps: number; pick: (at: Cursor) => void }) {
  const to = (row: number, step: number) => () => pick({ row, step });
  return (
    <div class="buttons matrix-nudges" role="group" aria-label="Move by one">
      <button type="button" disabled={at.row <= 0} onClick={to(at.row - 1, at.step)}>
        ↑ Mistake
      </button>
      <button type="button" disabled={at.row + 1 >= rows} onClick={to(at.row + 1, at.step)}>
        ↓ Mistake
      </button>
      <button type="button" disabled={at.step <= 0} onClick={to(at.row, at.step - 1)}>
        ← Step
      </button>
      <button type="button" disabled={at.step + 1 >= steps} onClick={to(at.row, at.step + 1)}>
        → Step
      </button>
    </div>
  );
}

interface Props {
  report: ProveReport;
  latest: ReadonlyMap<string, Reading>;
  open_step: (test: string) => void;
}

function Told({ report, latest, open_step, picture, pick }: Props & { picture: MatrixPicture; pick: (at: Cursor) => void }) {
  const { matrix, shown, at } = picture;
  const row = matrix.rows[shown[at.row] ?? -1];
  const test = matrix.steps[at.step];
  const rows = useMemo(
    () => (test ? shown.flatMap((index, row) => (exposes(matrix.rows[index], at.step) ? [{ row, one: matrix.rows[index]! }] : [])) : []),
    [matrix, shown, at.step],
  );
  if (!row && !test) return <p>Pick a mistake, a step, or the cell where they meet.</p>;
  return (
    <div class="matrix-told">
      {row && <FaultTold key={row.faults[0]?.id} report={report} matrix={matrix} row={row} latest={latest} pick_step={(step) => pick({ row: at.row, step })} />}
      {test && (
        <StepTold
          test={test}
          number={at.step + 1}
          of={matrix.steps.length}
          state={report.conditions.find((one) => one.id === test.condition)}
          reading={latest.get(test.id)}
          rows={rows}
          pick_row={(to) => pick({ row: to, step: at.step })}
          open={() => open_step(test.id)}
        />
      )}
    </div>
  );
}

// What is picked is kept by its place in the whole table, so that a filter does not change it.
function Table({ report, latest, open_step }: Props) {
  const matrix = useMemo<Matrix>(() => matrix_of(report), [report]);
  const [filter, set_filter] = useState(no_filter);
  const [picked, set_picked] = useState<Cursor>({ row: -1, step: -1 });
  const fates = useMemo<Fate[]>(() => fates_of(matrix, latest), [matrix, latest]);
  const shown = useMemo(() => rows_shown(matrix, fates, filter), [matrix, fates, filter]);
  const root = parseFloat(getComputedStyle(document.documentElement).fontSize) || 16;
  const shape = useMemo(() => shape_for(narrow(), root), [root, narrow()]);
  const row = shown.indexOf(picked.row);
  const picture = useMemo<MatrixPicture>(
    () => ({ matrix, shown, fates, at: { row, step: picked.step }, shape }),
    [matrix, shown, fates, row, picked.step, shape],
  );
  const pick = (at: Cursor) => set_picked({ row: shown[at.row] ?? -1, step: at.step });
  return (
    <div class="stack matrix">
      <Filters filter={filter} take={set_filter} />
      <p role="status">
        {shown.length === matrix.rows.length ? `${shown.length} rows` : `${shown.length} of ${matrix.rows.length} rows`}; mistakes that look the same to every
        step share one.
      </p>
      <Legend />
      <MatrixGrid picture={picture} pick={pick} />
      <Nudges at={picture.at} rows={shown.length} steps={matrix.steps.length} pick={pick} />
      <Told report={report} latest={latest} open_step={open_step} picture={picture} pick={pick} />
      <p>
        <a class="button" href={graft_path(route.value.graft, "/drawings/matrix")} target="_blank" rel="noreferrer">
          The same as a sheet to print (SVG)
        </a>
      </p>
    </div>
  );
}

export function ProofMatrix(props: Props) {
  const [open, set_open] = useState(false);
  return (
    <details class="sheet no-print" onToggle={(event) => set_open(event.currentTarget.open)}>
      <summary>Which step shows which mistake</summary>
      {open && <Table {...props} />}
    </details>
  );
}
