// What was understood of a table, column by column; a person corrects a column once; then it goes to a module.

import { useState } from "preact/hooks";
import type { Graft, LeftTable, Problem, ReadReport, ReadTable, TablePin } from "../api_types";
import { found_module, module_name } from "../model/document";
import { role_shown, roles, type Intake } from "../model/intake";
import { post } from "../net/edit";
import { Select } from "../parts/field";
import { Problems } from "../parts/problems";
import { Wire } from "../parts/wire";
import { say } from "../say";

interface Props {
  graft: Graft;
  intake: Intake;
  report: ReadReport;
  columns: Record<string, string>;
  correct: (head: string, role: string) => void;
  done: () => void;
}

type Shown = Pick<ReadTable, "columns" | "rows_preview">;

function Columns({ table, correct }: { table: Shown; correct: Props["correct"] }) {
  if (!table.columns || table.columns.length === 0) return null;
  return (
    <ul class="columns">
      {table.columns.map((column, index) => (
        <li key={`${index} ${column.head}`}>
          <Select
            label={column.head || `column ${index + 1}`}
            value={role_shown(column.role)}
            choices={roles}
            take={(role) => correct(column.head, role)}
          />
          {column.doubt && <span class="doubt">{column.doubt}</span>}
        </li>
      ))}
    </ul>
  );
}

const shown_rows = 8;

function Raw({ table }: { table: Shown }) {
  const rows = table.rows_preview ?? [];
  if (rows.length === 0) return null;
  return (
    <details>
      <summary>The rows as they stand in the source</summary>
      <div class="scroll" tabIndex={0} role="region" aria-label="Rows as they stand in the source">
        <table class="raw">
          <tbody>
            {rows.map((row, index) => (
              <tr key={index}>
                {row.map((cell, place) => (
                  <td key={place}>{cell}</td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </details>
  );
}

// Tables that were left: a person may know better, and says which column holds the cavities.
function Left({ list, correct }: { list: LeftTable[]; correct: Props["correct"] }) {
  return (
    <>
      {list.map((table) => (
        <details key={table.line}>
          <summary>
            Left alone: {table.name || "a table"}, line {table.line}
          </summary>
          <p>{table.reason}</p>
          <p>If it is a pin table after all, say which column holds the cavities:</p>
          <Columns table={table} correct={correct} />
          <Raw table={table} />
        </details>
      ))}
    </>
  );
}

function Pins({ pins }: { pins: TablePin[] }) {
  const [all, set_all] = useState(false);
  // What is doubted is what a person has to look at: it comes first.
  const doubted = [...pins].sort((a, b) => Number(b.doubts.length > 0) - Number(a.doubts.length > 0));
  const shown = all ? pins : doubted.slice(0, shown_rows);
  // A table on a phone has no room for columns in which nothing stands.
  const coloured = pins.some((pin) => pin.colour);
  const doubting = pins.some((pin) => pin.doubts.length > 0);
  return (
    <>
      <div class="scroll long" tabIndex={0} role="region" aria-label="Cavities as understood">
        <table>
          <thead>
            <tr>
              <th scope="col">Cavity</th>
              <th scope="col">Signal</th>
              {coloured && <th scope="col">Wire</th>}
              <th scope="col">Kind</th>
              {doubting && <th scope="col">Doubts</th>}
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
                <td>{pin.class === "unknown" ? <span class="soft">not known</span> : pin.class.replace(/_/g, " ")}</td>
                {doubting && <td class="doubt">{pin.doubts.join("; ")}</td>}
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

function free_id(graft: Graft, base: string): string {
  const taken = new Set((graft.modules ?? []).map((module) => module.id));
  let id = base;
  for (let count = 2; taken.has(id); count += 1) id = `${base}${count}`;
  return id;
}

// Where the table may go: over a module that is there, or as a new one.
function targets(graft: Graft): (readonly [string, string])[] {
  const over = (graft.modules ?? []).map((module) => [`over ${module.id}`, `Lay it over ${module_name(module)}`] as const);
  const donor = ["new donor", "It is a donor, or a candidate for one"] as const;
  return found_module(graft) ? [donor, ...over] : [["new found", "It is the vehicle's own module"] as const, donor, ...over];
}

interface Taken {
  module: string;
  problems?: Problem[];
}

export function Understood({ graft, intake, report, columns, correct, done }: Props) {
  const [index, set_index] = useState(0);
  const choices = targets(graft);
  const [target, set_target] = useState(choices[0]?.[0] ?? "new found");
  const table = report.tables[index] ?? report.tables[0];
  const take = async () => {
    const [kind, id = ""] = target.split(" ");
    const over = graft.modules?.find((module) => kind === "over" && module.id === id);
    const role = over?.role ?? (id === "found" ? "found" : "donor");
    const chosen = role === "donor" && !over && graft.modules?.some((module) => module.role === "donor") ? "other" : role;
    const body = { ...intake, role: chosen, module: over?.id ?? free_id(graft, id), table: index, columns };
    const taken = await post<Taken>("Take the table in", "/tables", body);
    if (!taken) return;
    say(`Taken in: ${table?.pins.length ?? 0} cavities.`);
    done();
  };
  if (!table) {
    return (
      <>
        <p>
          No pin table was found in it. A pin table has a line for each cavity: a column of cavities, and a column of signals or colours. Where it
          was cut off in copying, copy it again with its head line.
        </p>
        <Left list={report.left ?? []} correct={correct} />
        <Problems list={report.problems.filter((problem) => problem.line)} />
      </>
    );
  }
  return (
    <div class="stack">
      {report.tables.length > 1 && (
        <Select
          label="Table"
          value={String(index)}
          choices={report.tables.map((one, at) => [String(at), `${one.name || `table ${at + 1}`} (${one.pins.length})`] as const)}
          take={(value) => set_index(Number(value))}
        />
      )}
      <p>
        <strong>{table.name}</strong>: {table.pins.length} cavities in{" "}
        {table.connectors.map((one) => one.name || "one plug").join(", ") || "one plug"}
        {table.pins.some((pin) => pin.doubts.length > 0) &&
          `; ${table.pins.filter((pin) => pin.doubts.length > 0).length} of them in doubt`}
        .
      </p>
      <Columns table={table} correct={correct} />
      <Pins pins={table.pins} />
      <Raw table={table} />
      <Left list={report.left ?? []} correct={correct} />
      <Problems list={report.problems} title="What was left or doubted" />
      <Select label="What it is" value={target} choices={choices} take={set_target} />
      <div class="buttons">
        <button type="button" class="first" onClick={() => void take()}>
          Take it in
        </button>
      </div>
    </div>
  );
}
