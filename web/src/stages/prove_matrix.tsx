// Which step detects which fault: the whole plan as a table to move around in.

import { useMemo, useState } from "preact/hooks";
import type { ProveReport } from "../api_types";
import { exposes, type Matrix, type MatrixFilter, matrix_of, no_filter, results_of, rows_shown } from "../model/matrix";
import { result_text, type StepResult } from "../model/proof";
import type { MarkedReading } from "../model/reading";
import { graft_path } from "../net/request";
import { Mark } from "../parts/mark";
import { route } from "../route";
import { narrow } from "./compare_face";
import { FaultDetails, StepDetails } from "./prove_matrix_details";
import { MatrixGrid } from "./prove_matrix_grid";
import { type Cursor, type MatrixPicture, shape_for } from "./prove_matrix_paint";

type Switch = "harmful" | "unexposed" | "open";

const switches: readonly (readonly [Switch, string])[] = [
  ["harmful", "Only what could do damage or start a fire"],
  ["unexposed", "Only what no step detects"],
  ["open", "Only what no reading has ruled out yet"],
];

function Filters({ filter, take }: { filter: MatrixFilter; take: (filter: MatrixFilter) => void }) {
  return (
    <fieldset class="matrix-filters" aria-label="Filter the faults">
      {switches.map(([name, text]) => (
        <label key={name} class="tickbox">
          <input type="checkbox" data-filter={name} checked={filter[name]} onChange={() => take({ ...filter, [name]: !filter[name] })} />{" "}
          {text}
        </label>
      ))}
      <label class="field">
        <span class="field-name">Containing this text</span>
        <span class="field-box">
          <input
            type="search"
            data-filter="text"
            value={filter.text}
            placeholder="a wire, a plug, a device"
            onInput={(event) => take({ ...filter, text: event.currentTarget.value })}
          />
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
        detects it, {result_text.to_do}
      </li>
      <li>
        <Mark name="passes" text={`${result_text.in_band}: ruled out`} />
      </li>
      <li>
        <Mark name="fails" text={`${result_text.out_of_band}: may be there`} />
      </li>
      <li>
        <svg class="mark-todo" viewBox="0 0 16 16" width="16" height="16" aria-hidden="true">
          <rect x="3" y="3" width="10" height="10" fill="none" stroke="currentColor" stroke-width="2" />
        </svg>{" "}
        {result_text.unreached}
      </li>
    </ul>
  );
}

// For fingers that are too wide for a cell: one row or step at a time.
function MoveButtons({ at, rows, steps, pick }: { at: Cursor; rows: number; steps: number; pick: (at: Cursor) => void }) {
  const to = (row: number, step: number) => () => pick({ row, step });
  return (
    <div class="buttons matrix-move" role="group" aria-label="Move in the table">
      <button type="button" disabled={at.row <= 0} onClick={to(at.row - 1, at.step)}>
        ↑ Fault
      </button>
      <button type="button" disabled={at.row + 1 >= rows} onClick={to(at.row + 1, at.step)}>
        ↓ Fault
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
  latest: ReadonlyMap<string, MarkedReading>;
  open_step: (test: string) => void;
}

function Details({ report, latest, open_step, picture, pick }: Props & { picture: MatrixPicture; pick: (at: Cursor) => void }) {
  const { matrix, shown, at } = picture;
  const row = matrix.rows[shown[at.row] ?? -1];
  const test = matrix.steps[at.step];
  const rows = useMemo(
    () =>
      shown.flatMap((index, position) => {
        const one = matrix.rows[index];
        return one && exposes(one, at.step) ? [{ row: position, one }] : [];
      }),
    [matrix, shown, at.step],
  );
  if (!row && !test) return <p>Pick a fault, a step, or a cell.</p>;
  return (
    <div class="matrix-details">
      {row && (
        <FaultDetails
          key={row.faults[0]?.id}
          report={report}
          matrix={matrix}
          row={row}
          latest={latest}
          pick_step={(step) => pick({ row: at.row, step })}
        />
      )}
      {test && (
        <StepDetails
          test={test}
          number={at.step + 1}
          of={matrix.steps.length}
          condition={report.conditions.find((one) => one.id === test.condition)}
          reading={latest.get(test.id)}
          rows={rows}
          pick_row={(to) => pick({ row: to, step: at.step })}
          open={() => open_step(test.id)}
        />
      )}
    </div>
  );
}

// The picked row is kept by its index in the whole table, so that a filter does not change it.
function Table({ report, latest, open_step }: Props) {
  const matrix = useMemo<Matrix>(() => matrix_of(report), [report]);
  const [filter, set_filter] = useState(no_filter);
  const [picked, set_picked] = useState<Cursor>({ row: -1, step: -1 });
  const results = useMemo<StepResult[]>(() => results_of(matrix, latest), [matrix, latest]);
  const shown = useMemo(() => rows_shown(matrix, results, filter), [matrix, results, filter]);
  const root = Number.parseFloat(getComputedStyle(document.documentElement).fontSize) || 16;
  const shape = useMemo(() => shape_for(narrow(), root), [root, narrow()]);
  const row = shown.indexOf(picked.row);
  const picture = useMemo<MatrixPicture>(
    () => ({ matrix, shown, results, at: { row, step: picked.step }, shape }),
    [matrix, shown, results, row, picked.step, shape],
  );
  const pick = (at: Cursor) => set_picked({ row: shown[at.row] ?? -1, step: at.step });
  return (
    <div class="stack matrix">
      <Filters filter={filter} take={set_filter} />
      <p role="status" data-rows={shown.length}>
        {shown.length === matrix.rows.length ? `${shown.length} rows` : `${shown.length} of ${matrix.rows.length} rows`}; faults that look
        the same to every step share one.
      </p>
      <Legend />
      <MatrixGrid picture={picture} pick={pick} />
      <MoveButtons at={picture.at} rows={shown.length} steps={matrix.steps.length} pick={pick} />
      <Details report={report} latest={latest} open_step={open_step} picture={picture} pick={pick} />
      <p>
        <a class="button" href={graft_path(route.value.graft, "/drawings/matrix")} target="_blank" rel="noreferrer">
          The table as a sheet to print (SVG)
        </a>
      </p>
    </div>
  );
}

export function ProofMatrix(props: Props) {
  const [open, set_open] = useState(false);
  return (
    <details class="sheet proof-matrix no-print" onToggle={(event) => set_open(event.currentTarget.open)}>
      <summary>Which step detects which fault</summary>
      {open && <Table {...props} />}
    </details>
  );
}
