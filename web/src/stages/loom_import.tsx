// A table is pasted or dropped; a person sees what becomes of each row, says what a column means, and takes it.

import { useEffect, useMemo, useState } from "preact/hooks";
import { use_draft } from "../drafts";
import { show_message } from "../message";
import type { LoomColumn, LoomRow } from "../model/loom_columns";
import type { LoomContext } from "../model/loom_context";
import { loom_context } from "../model/loom_context";
import { type ImportChoices, left_over, read_import } from "../model/loom_import";
import { patch_between } from "../model/patch_between";
import { change } from "../net/edit";
import { Dialog } from "../parts/dialog";
import { FileButton } from "../parts/file_button";
import { route } from "../route";
import { ImportCheck } from "./loom_import_check";
import type { LoomTable } from "./loom_tables";

interface Props {
  table: LoomTable;
  context: LoomContext;
  columns: readonly LoomColumn[];
  rows: readonly LoomRow[];
  close: () => void;
}

const most_bytes = 4 * 1024 * 1024;
const start: ImportChoices = { meanings: {}, has_head: null, make_missing: true };

const examples: Record<string, string> = {
  wires: "from; to; colour; size; length; signal\nC2-31; fog lamp left:1; RD/GN; 0.75; 1.2 m; fog lamp left",
  fuses: "F12; 15 A; fog lamps; 15\nF13; 10 A; radio; 30",
};

function Source({ text, set, example }: { text: string; set: (text: string) => void; example: string }) {
  const read = async (chosen: File | undefined) => {
    if (!chosen) return;
    if (chosen.size > most_bytes) show_message(`${chosen.name} is larger than 4 MB. Cut the table out of it first.`, "error");
    else set(await chosen.text());
  };
  return (
    <div
      class="stack"
      onDragOver={(event) => event.preventDefault()}
      onDrop={(event) => {
        event.preventDefault();
        void read(event.dataTransfer?.files[0]);
      }}
    >
      <label class="field">
        <span class="field-name">Paste a table here, or drop a CSV file</span>
        <textarea rows={5} value={text} spellcheck={false} placeholder={example} onInput={(event) => set(event.currentTarget.value)} />
      </label>
      <div class="buttons">
        <FileButton text="Choose a file" label="A CSV file" accept=".csv,.tsv,.txt,text/*" take={(chosen) => void read(chosen)} />
      </div>
    </div>
  );
}

// The check follows the text a moment after the last key.
function use_settled(text: string): string {
  const [settled, set_settled] = useState(text);
  useEffect(() => {
    const timer = window.setTimeout(() => set_settled(text), 200);
    return () => window.clearTimeout(timer);
  }, [text]);
  return settled;
}

export function ImportDialog({ table, context, columns, rows, close }: Props) {
  const [text, set_text, drop_text] = use_draft(route.value.graft, `import.${table.name}`, "");
  const [choices, set_choices] = useState<ImportChoices>(start);
  const settled = use_settled(text);
  const read = useMemo(
    () => (settled.trim() === "" ? null : read_import(settled, table, context, columns, rows, choices)),
    [settled, table, context, columns, rows, choices],
  );
  const usable = read?.rows.filter((row) => row.verdict === "added" || row.verdict === "changed").length ?? 0;
  const take = async () => {
    if (!read) return;
    const rest = left_over(settled, read);
    const taken = await change(`${usable} imported ${usable === 1 ? table.one : `rows of ${table.label}`}`, (now) => {
      const fresh = loom_context(now, context.units, context.length_unit);
      return patch_between(now, read_import(settled, table, fresh, table.columns(fresh), table.rows(now), choices).after);
    });
    if (!taken) return;
    show_message(`${usable} ${usable === 1 ? "row" : "rows"} imported.`);
    if (rest === "") {
      drop_text();
      close();
    } else set_text(rest);
  };
  return (
    <Dialog title={`Import ${table.label}`} close={close}>
      <div class="stack check-dialog">
        <Source
          text={text}
          set={(next) => {
            set_text(next);
            if (next.trim() === "") set_choices(start);
          }}
          example={examples[table.name] ?? "Paste the lines of a spreadsheet, with their head line."}
        />
        {read && <ImportCheck table={table} columns={columns} read={read} choices={choices} set_choices={set_choices} />}
        {read && (
          <div class="buttons">
            <button type="button" class="primary" disabled={usable === 0 || settled !== text} onClick={() => void take()}>
              Take {usable} {usable === 1 ? "row" : "rows"}
            </button>
            {read.rows.some((row) => row.verdict === "unusable") && <span class="soft">What cannot be used stays in the box above.</span>}
          </div>
        )}
      </div>
    </Dialog>
  );
}
