// One of the two tables of a new job: pasted, from a file, or not yet; with what was read of it.

import { useRef, useState } from "preact/hooks";
import type { ReadReport } from "../api_types";
import { show_message } from "../message";
import { input_of, type NewTable, type TableWay } from "../model/new_job";
import { table_files, table_input_of_file, with_meaning } from "../model/table_input";
import { type TableReading, use_table_reading } from "../net/read_table";
import { Help } from "../parts/help";
import { Mark } from "../parts/mark";
import { Problems } from "../parts/problems";
import { LostLines, lost_lines } from "./gather_lost_lines";
import { doubtful_pins, TableRead } from "./table_read";

const count = (number: number, one: string, many: string) => `${number} ${number === 1 ? one : many}`;

function ReadSummary({ report, index }: { report: ReadReport; index: number }) {
  const table = report.tables[index] ?? report.tables[0];
  if (!table) return <Mark name="fails" text="No pin table was found in it." />;
  const doubts = doubtful_pins(table);
  return (
    <>
      <Mark name={doubts > 0 ? "unsure" : "passes"} text="Read:" /> {count(Math.max(1, table.connectors.length), "plug", "plugs")},{" "}
      {count(table.pins.length, "pin", "pins")}, {doubts > 0 ? count(doubts, "doubt", "doubts") : "no doubts"}
      {report.tables.length > 1 && `. There are ${report.tables.length} tables in it: check which one is meant.`}
    </>
  );
}

interface ResultProps {
  table: NewTable;
  take: (table: NewTable) => void;
  reading: TableReading;
}

function ReadResult({ table, take, reading: { report, problems, busy } }: ResultProps) {
  return (
    <>
      <p class="read-summary" role="status">
        {report ? <ReadSummary report={report} index={table.index} /> : busy && <span class="soft">Reading …</span>}
      </p>
      <Problems list={problems} />
      {report && <LostLines lost={lost_lines(report)} answered={table.looked === true} answer={(looked) => take({ ...table, looked })} />}
      {report && (
        <details open={report.tables.length === 0}>
          <summary>Check how it was read</summary>
          <TableRead
            report={report}
            index={table.index}
            choose={(index) => take({ ...table, index })}
            mean={(meaning) => take(with_meaning(table, meaning))}
            correct={(head, role) => take({ ...table, columns: { ...table.columns, [head]: role } })}
          />
        </details>
      )}
    </>
  );
}

const ways: readonly (readonly [TableWay, string])[] = [
  ["paste", "Paste it"],
  ["file", "Choose a file"],
  ["none", "Not yet"],
];
const typing_pause_ms = 350;

interface Props {
  title: string;
  hint: string;
  word?: string; // of the glossary, if it puzzles
  table: NewTable;
  take: (table: NewTable) => void;
}

export function NewJobTable({ title, hint, word, table, take }: Props) {
  const [over, set_over] = useState(false);
  const file = useRef<HTMLInputElement>(null);
  const input = input_of(table);
  const reading = use_table_reading(input, table.columns, table.way === "paste" ? typing_pause_ms : 0);
  const read_file = async (chosen: File | undefined) => {
    if (!chosen) return;
    const read = await table_input_of_file(chosen);
    if (typeof read === "string") show_message(read, "error");
    else take({ ...table, way: "file", file: read, columns: {}, index: 0 });
  };
  const choose_way = (way: TableWay) => {
    if (way === "file") file.current?.click();
    else take({ ...table, way });
  };
  return (
    <section
      class={over ? "sheet stack drop-target drop-zone-over" : "sheet stack drop-target"}
      aria-label={title}
      onDragOver={(event) => {
        event.preventDefault();
        set_over(true);
      }}
      onDragLeave={() => set_over(false)}
      onDrop={(event) => {
        event.preventDefault();
        set_over(false);
        void read_file(event.dataTransfer?.files[0]);
      }}
    >
      <div class="head-help">
        <h2>{title}</h2>
        {word && <Help word={word} />}
      </div>
      <p class="soft">{hint}</p>
      <div class="choice-row" role="group" aria-label={`${title}: where it comes from`}>
        {ways.map(([way, text]) => (
          <button key={way} type="button" aria-pressed={way === table.way} onClick={() => choose_way(way)}>
            {way === "file" && table.way === "file" ? "Another file" : text}
          </button>
        ))}
      </div>
      <input
        ref={file}
        class="visually-hidden"
        type="file"
        tabIndex={-1}
        aria-label={`${title}: file`}
        accept={table_files}
        onChange={(event) => void read_file(event.currentTarget.files?.[0])}
      />
      {table.way === "paste" && (
        <label class="field">
          <span class="visually-hidden">{`${title}: paste it here`}</span>
          <textarea
            rows={5}
            value={table.text}
            spellcheck={false}
            placeholder={"Paste it here, however untidy.\nPin | Function        | Colour\n 1  | road speed      | WH/RD"}
            onInput={(event) => take({ ...table, text: event.currentTarget.value, index: 0 })}
          />
        </label>
      )}
      {table.way === "file" && table.file && <p class="letters">{table.file.name}</p>}
      {table.way === "none" && <p>You can add it later, in Gather.</p>}
      {input && <ReadResult table={table} take={take} reading={reading} />}
    </section>
  );
}
