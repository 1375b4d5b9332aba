// Adding a table: paste it, drop it or choose a file; then check what was read from it.

import { useEffect, useRef, useState } from "preact/hooks";
import type { ColumnRole, Graft, Problem, ReadReport } from "../api_types";
import { show_message } from "../message";
import { type TableInput, table_input_of_file } from "../model/table_input";
import { ask } from "../net/request";
import { Problems } from "../parts/problems";
import { TablePreview } from "./gather_preview";

function TableForm({ read }: { read: (input: TableInput) => void }) {
  const [text, set_text] = useState("");
  const [over, set_over] = useState(false);
  const file = useRef<HTMLInputElement>(null);
  const read_file = async (chosen: File | undefined) => {
    if (!chosen) return;
    const input = await table_input_of_file(chosen);
    if (typeof input === "string") show_message(input, "error");
    else read(input);
  };
  return (
    <div
      class={over ? "drop-zone drop-zone-over" : "drop-zone"}
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
      <label class="field">
        <span class="field-name">Paste a pin table here, or drop a file</span>
        <textarea
          rows={6}
          value={text}
          onInput={(event) => set_text(event.currentTarget.value)}
          spellcheck={false}
          placeholder={"Pin | Function        | Colour\n 1  | road speed      | WH/RD\n 2  | sensor earth    | BN"}
        />
      </label>
      <div class="buttons">
        <button type="button" class="primary" disabled={!text.trim()} onClick={() => read({ name: "pasted table", text })}>
          Read the table
        </button>
        <button type="button" onClick={() => file.current?.click()}>
          Choose a file
        </button>
        <input
          ref={file}
          class="visually-hidden"
          type="file"
          tabIndex={-1}
          aria-label="A file with a pin table"
          accept=".csv,.tsv,.txt,.md,.html,.htm,.yaml,.yml,.json,text/*"
          onChange={(event) => void read_file(event.currentTarget.files?.[0])}
        />
      </div>
      <p class="soft">CSV, Markdown, columns of text, HTML, YAML, JSON or plain sentences. Column heads may be in several languages.</p>
    </div>
  );
}

export function AddTable({ graft, done }: { graft: Graft; done: () => void }) {
  const [input, set_input] = useState<TableInput | null>(null);
  const [columns, set_columns] = useState<Record<string, ColumnRole>>({});
  const [report, set_report] = useState<ReadReport | null>(null);
  const [problems, set_problems] = useState<Problem[]>([]);
  useEffect(() => {
    if (!input) return;
    const control = new AbortController();
    void ask<ReadReport>("/api/tables", { method: "POST", body: { ...input, columns }, signal: control.signal }).then((answer) => {
      if (control.signal.aborted) return;
      set_report(answer.ok ? answer.value : null);
      set_problems(answer.ok ? [] : answer.problems);
    });
    return () => control.abort();
  }, [input, columns]);
  const again = () => {
    set_input(null);
    set_report(null);
    set_columns({});
    set_problems([]);
  };
  return (
    <section class="sheet stack" aria-label="Add a table">
      <h2>{input ? `What was read from ${input.name}` : "Add a table"}</h2>
      {!input && <TableForm read={set_input} />}
      <Problems list={problems} />
      {input && report && (
        <TablePreview
          graft={graft}
          input={input}
          report={report}
          columns={columns}
          correct={(head, role) => set_columns({ ...columns, [head]: role })}
          done={done}
        />
      )}
      {input && (
        <div class="buttons">
          <button type="button" onClick={again}>
            Use another table
          </button>
        </div>
      )}
    </section>
  );
}
