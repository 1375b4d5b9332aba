// What was read from a table, column by column. A person corrects a column once, and the table is read again.

import { useState } from "preact/hooks";
import type { ColumnRole, Problem, ReadReport, ReadTable, SkippedTable, TablePin } from "../api_types";
import { class_text } from "../model/pin_classes";
import { role_choices, role_shown } from "../model/table_input";
import { Select } from "../parts/field";
import { Problems } from "../parts/problems";
import { Wire } from "../parts/wire";
import { lost_lines } from "./gather_lost_lines";
import { type Meaning, TableMeanings } from "./table_meanings";

export interface ReadProps {
  report: ReadReport;
  index: number; // of the table that is meant, if there are several
  choose: (index: number) => void;
  correct: (head: string, role: ColumnRole) => void;
  mean: (meaning: Meaning) => void;
}

type Correct = ReadProps["correct"];

type PreviewTable = Pick<ReadTable, "columns" | "rows_preview">;

function Columns({ table, correct }: { table: PreviewTable; correct: Correct }) {
  if (!table.columns || table.columns.length === 0) return null;
  return (
    <ul class="columns">
      {table.columns.map((column, index) => (
        <li key={`${index} ${column.head}`}>
          <Select
            label={column.head || `column ${index + 1}`}
            value={role_shown(column.role)}
            choices={role_choices}
            take={(role) => correct(column.head, role)}
          />
          {column.doubt && <span class="doubt">{column.doubt}</span>}
        </li>
      ))}
    </ul>
  );
}

const shown_rows = 8;

function SourceRows({ table }: { table: PreviewTable }) {
  const rows = table.rows_preview ?? [];
  if (rows.length === 0) return null;
  return (
    <details>
      <summary>The rows of the source</summary>
      <div class="scroll" tabIndex={0} role="region" aria-label="Rows of the source">
        <table class="source-rows">
          <tbody>
            {rows.map((row, index) => (
              <tr key={index}>
                {row.map((cell, column) => (
                  <td key={column}>{cell}</td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </details>
  );
}

// Tables that were skipped: if one is a pin table, a person says which column has the cavities.
function SkippedTables({ list, correct }: { list: SkippedTable[]; correct: Correct }) {
  return (
    <>
      {list.map((table) => (
        <details key={table.place ?? table.line}>
          <summary>
            Skipped: {table.name || "a table"}, {table.place ?? `line ${table.line}`}
          </summary>
          <p>{table.reason}</p>
          <p>If it is a pin table, say which column has the cavities:</p>
          <Columns table={table} correct={correct} />
          <SourceRows table={table} />
        </details>
      ))}
    </>
  );
}

function Pins({ pins }: { pins: TablePin[] }) {
  const [all, set_all] = useState(false);
  // Doubtful rows come first: a person has to look at them.
  const doubted = [...pins].sort((a, b) => Number(b.doubts.length > 0) - Number(a.doubts.length > 0));
  const shown = all ? pins : doubted.slice(0, shown_rows);
  // A phone has no space for empty columns.
  const coloured = pins.some((pin) => pin.colour);
  const has_doubts = pins.some((pin) => pin.doubts.length > 0);
  const placed = pins.some((pin) => pin.source.place);
  return (
    <>
      <div class="scroll long" tabIndex={0} role="region" aria-label="Cavities that were read">
        <table>
          <thead>
            <tr>
              <th scope="col">Cavity</th>
              <th scope="col">Signal</th>
              {coloured && <th scope="col">Wire</th>}
              <th scope="col">Type</th>
              {has_doubts && <th scope="col">Doubts</th>}
              {placed && <th scope="col">Place in the file</th>}
            </tr>
          </thead>
          <tbody>
            {shown.map((pin, index) => (
              <tr key={index}>
                <th scope="row">{[pin.connector, pin.cavity].filter(Boolean).join("-")}</th>
                <td>{pin.signal || <span class="soft">no wire</span>}</td>
                {coloured && (
                  <td>
                    <Wire colour={pin.colour} />
                  </td>
                )}
                <td>
                  {pin.class === "unknown" ? <span class="soft">not known</span> : class_text(pin.class)}
                  {pin.class_grounds && <span class="soft grounds">{pin.class_grounds}</span>}
                </td>
                {has_doubts && <td class="doubt">{pin.doubts.join("; ")}</td>}
                {placed && <td class="soft">{pin.source.place}</td>}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {!all && pins.length > shown_rows && (
        <button type="button" onClick={() => set_all(true)}>
          Show all {pins.length}
        </button>
      )}
    </>
  );
}

// The file as a whole could not be read: another kind of file, locked, damaged.
const is_refusal = (problem: Problem): boolean =>
  problem.severity === "error" && !problem.line && problem.code !== "no-pin-table" && problem.code !== "no-table";

function NoTable({ report, correct }: { report: ReadReport; correct: Correct }) {
  const refusals = report.problems.filter(is_refusal);
  if (refusals.length > 0) return <Problems list={refusals} />;
  return (
    <>
      <p>
        No pin table was found in it. A pin table has a line for each cavity: one column with the cavity, and one with the signal or the
        colour. If the head line is missing, copy the table again with its head line.
      </p>
      <SkippedTables list={report.skipped ?? []} correct={correct} />
      <Problems list={report.problems.filter((problem) => problem.line)} />
    </>
  );
}

export const doubtful_pins = (table: ReadTable): number => table.pins.filter((pin) => pin.doubts.length > 0).length;

// What was lost is asked about below (gather_lost_lines.tsx).
function without_lost(report: ReadReport) {
  const lost = new Set(lost_lines(report));
  return report.problems.filter((problem) => !lost.has(problem));
}

export function TableRead({ report, index, choose, correct, mean }: ReadProps) {
  const table = report.tables[index] ?? report.tables[0];
  if (!table) return <NoTable report={report} correct={correct} />;
  const doubtful = doubtful_pins(table);
  return (
    <div class="stack">
      {report.tables.length > 1 && (
        <Select
          label="Table"
          value={String(index)}
          choices={report.tables.map((one, at) => [String(at), `${one.name || `table ${at + 1}`} (${one.pins.length})`] as const)}
          take={(value) => choose(Number(value))}
        />
      )}
      <p>
        <strong>{table.name}</strong>: {table.pins.length} cavities in{" "}
        {table.connectors.map((one) => one.name || "one plug").join(", ") || "one plug"}
        {doubtful > 0 && `; ${doubtful} of them doubtful`}.
      </p>
      <Columns table={table} correct={correct} />
      <TableMeanings table={table} mean={mean} />
      <Pins pins={table.pins} />
      <SourceRows table={table} />
      <SkippedTables list={report.skipped ?? []} correct={correct} />
      <Problems list={without_lost(report)} title="Skipped or doubtful" />
    </div>
  );
}
