// Adding a table: paste it, drop it or choose a file; then check what was read from it. What is pasted is kept until it is
// added.

import { useState } from "preact/hooks";
import type { ColumnRole, Graft } from "../api_types";
import { draft_of, keep_draft, use_draft } from "../drafts";
import { show_message } from "../message";
import { type TableInput, table_files, table_input_of_file, with_meaning } from "../model/table_input";
import { use_table_reading } from "../net/read_table";
import { FileButton } from "../parts/file_button";
import { Problems } from "../parts/problems";
import { route } from "../route";
import { TablePreview } from "./gather_preview";

interface TableDraft {
  text: string; // as pasted
  input: TableInput | null; // what is being read
  columns: Record<string, ColumnRole>;
}

const field = "gather.table";
const empty: TableDraft = { text: "", input: null, columns: {} };

export const has_table_draft = (graft: string): boolean => draft_of(graft, field, empty) !== null;

// A table that could not be added elsewhere waits here.
export function leave_table(graft: string, input: TableInput, columns: Record<string, ColumnRole>): void {
  keep_draft(graft, field, { text: input.text ?? "", input, columns } satisfies TableDraft);
}

interface FormProps {
  text: string;
  set_text: (text: string) => void;
  read: (input: TableInput) => void;
}

function TableForm({ text, set_text, read }: FormProps) {
  const [over, set_over] = useState(false);
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
        <FileButton text="Choose a file" label="A file with a pin table" accept={table_files} take={(chosen) => void read_file(chosen)} />
        {text && (
          <button type="button" onClick={() => set_text("")}>
            Clear
          </button>
        )}
      </div>
      <p class="soft">
        Spreadsheets (.xlsx, .ods), PDF with text in it, CSV, Markdown, columns of text, HTML, YAML, JSON or plain sentences. Column heads
        may be in several languages.
      </p>
    </div>
  );
}

export function AddTable({ graft, done }: { graft: Graft; done: () => void }) {
  const [draft, set_draft, drop] = use_draft<TableDraft>(route.value.graft, field, empty);
  const { text, input, columns } = draft;
  const { report, problems } = use_table_reading(input, columns);
  const added = () => {
    drop();
    done();
  };
  return (
    <section class="sheet stack" aria-label="Add a table">
      <h2>{input ? `What was read from ${input.name}` : "Add a table"}</h2>
      {!input && (
        <TableForm
          text={text}
          set_text={(typed) => set_draft({ ...draft, text: typed })}
          read={(chosen) => set_draft({ ...draft, input: chosen, columns: {} })}
        />
      )}
      <Problems list={problems} />
      {input && report && (
        <TablePreview
          graft={graft}
          input={input}
          report={report}
          columns={columns}
          correct={(head, role) => set_draft({ ...draft, columns: { ...columns, [head]: role } })}
          mean={(meaning) => set_draft({ ...draft, input: with_meaning(input, meaning) })}
          done={added}
        />
      )}
      {input && (
        <div class="buttons">
          <button type="button" onClick={() => set_draft({ ...empty, text })}>
            Use another table
          </button>
        </div>
      )}
    </section>
  );
}
