// What an import would do: the meaning of each column, and row by row what is added, changed, or cannot be used.

import type { LoomColumn } from "../model/loom_columns";
import { extra_meanings, type Import, type ImportChoices, type ImportRow } from "../model/loom_import";
import { Select } from "../parts/field";
import type { LoomTable } from "./loom_tables";

interface Props {
  table: LoomTable;
  columns: readonly LoomColumn[];
  read: Import;
  choices: ImportChoices;
  set_choices: (choices: ImportChoices) => void;
}

const verdict_text = { added: "added", changed: "changed", same: "as it is", unusable: "cannot be used" };
const most_shown = 200;

function Columns({ table, columns, read, choices, set_choices }: Props) {
  const editable = columns.filter((column) => column.read && column.key !== "id").map((column) => [column.key, column.head] as const);
  const meanings = [
    ["", "ignore"] as const,
    ...editable,
    ...(extra_meanings[table.name] ?? []),
    ["id", table.title === "id" ? "Name" : "Id"] as const,
  ];
  return (
    <ul class="check-columns">
      {read.columns.map((column, at) => (
        <li key={at}>
          <Select
            label={`${column.head || `Column ${at + 1}`}${column.guessed && column.meaning ? " (a guess)" : ""}`}
            value={column.meaning}
            choices={meanings}
            take={(meaning) => set_choices({ ...choices, meanings: { ...choices.meanings, [at]: meaning } })}
          />
          <span class="soft">{column.sample}</span>
        </li>
      ))}
    </ul>
  );
}

function Rows({ rows }: { rows: ImportRow[] }) {
  // What cannot be used comes first: a person has to look at it.
  const sorted = [...rows].sort((a, b) => Number(b.verdict === "unusable") - Number(a.verdict === "unusable"));
  return (
    <div class="scroll long" tabIndex={0} role="region" aria-label="Rows of the import">
      <table class="check-rows">
        <thead>
          <tr>
            <th scope="col">Line</th>
            <th scope="col">Row</th>
            <th scope="col">It is</th>
            <th scope="col">What, or why not</th>
          </tr>
        </thead>
        <tbody>
          {sorted.slice(0, most_shown).map((row) => (
            <tr key={row.line}>
              <td>{row.line}</td>
              <th scope="row">{row.name || row.cells.join(" ")}</th>
              <td class={row.verdict === "unusable" ? "doubt" : ""}>{verdict_text[row.verdict]}</td>
              <td>{row.text}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {sorted.length > most_shown && <p class="soft">and {sorted.length - most_shown} more rows</p>}
    </div>
  );
}

function counts(rows: readonly ImportRow[]): string {
  const of = (verdict: ImportRow["verdict"]) => rows.filter((row) => row.verdict === verdict).length;
  const parts = (["added", "changed", "same", "unusable"] as const).map((verdict) => [of(verdict), verdict_text[verdict]] as const);
  return parts
    .filter(([count]) => count > 0)
    .map(([count, text]) => `${count} ${text}`)
    .join(", ");
}

export function ImportCheck(props: Props) {
  const { read, choices, set_choices } = props;
  if (read.rows.length === 0) return <p>There is no row in it but the head line.</p>;
  return (
    <>
      <p role="status">
        <strong>{read.rows.length} rows</strong>: {counts(read.rows)}.
      </p>
      <Columns {...props} />
      <div class="row">
        <label class="check-line">
          <input
            type="checkbox"
            checked={read.has_head}
            onChange={(event) => set_choices({ ...choices, meanings: {}, has_head: event.currentTarget.checked })}
          />{" "}
          The first line is the head
        </label>
        <label class="check-line">
          <input
            type="checkbox"
            checked={choices.make_missing}
            onChange={(event) => set_choices({ ...choices, make_missing: event.currentTarget.checked })}
          />{" "}
          Add plugs, devices and places that are not there yet
        </label>
      </div>
      {read.made.length > 0 && (
        <details>
          <summary>Also added, as guesses: {read.made.length}</summary>
          <ul class="removal-list">
            {read.made.map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        </details>
      )}
      <Rows rows={read.rows} />
    </>
  );
}
