// A table comes in: paste, drop or file; then what was understood of it.

import { useEffect, useRef, useState } from "preact/hooks";
import type { Graft, Problem, ReadReport } from "../api_types";
import { intake_of_file, type Intake } from "../model/intake";
import { ask } from "../net/answer";
import { Problems } from "../parts/problems";
import { say } from "../say";
import { Understood } from "./gather_understood";

function Bring({ bring }: { bring: (intake: Intake) => void }) {
  const [text, set_text] = useState("");
  const [over, set_over] = useState(false);
  const file = useRef<HTMLInputElement>(null);
  const take = async (chosen: File | undefined) => {
    if (!chosen) return;
    const intake = await intake_of_file(chosen);
    if (typeof intake === "string") say(intake, "error");
    else bring(intake);
  };
  return (
    <div
      class={over ? "bring bring-over" : "bring"}
      onDragOver={(event) => (event.preventDefault(), set_over(true))}
      onDragLeave={() => set_over(false)}
      onDrop={(event) => {
        event.preventDefault();
        set_over(false);
        void take(event.dataTransfer?.files[0]);
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
        <button type="button" class="first" disabled={!text.trim()} onClick={() => bring({ name: "pasted table", text })}>
          Read it
        </button>
        <button type="button" onClick={() => file.current?.click()}>
          Choose a file
        </button>
        <input
          ref={file}
          class="unseen"
          type="file"
          tabIndex={-1}
          aria-label="A file with a pin table"
          accept=".csv,.tsv,.txt,.md,.html,.htm,.yaml,.yml,.json,text/*"
          onChange={(event) => void take(event.currentTarget.files?.[0])}
        />
      </div>
      <p class="soft">CSV, Markdown, columns of text, HTML, YAML, JSON or prose; any language of head line that the dictionary knows.</p>
    </div>
  );
}

export function AddTable({ graft, done }: { graft: Graft; done: () => void }) {
  const [intake, set_intake] = useState<Intake | null>(null);
  const [columns, set_columns] = useState<Record<string, string>>({});
  const [report, set_report] = useState<ReadReport | null>(null);
  const [problems, set_problems] = useState<Problem[]>([]);
  useEffect(() => {
    if (!intake) return;
    const control = new AbortController();
    void ask<ReadReport>("/api/tables", { method: "POST", body: { ...intake, columns }, signal: control.signal }).then((answer) => {
      if (control.signal.aborted) return;
      set_report(answer.ok ? answer.value : null);
      set_problems(answer.ok ? [] : answer.problems);
    });
    return () => control.abort();
  }, [intake, columns]);
  const again = () => {
    set_intake(null);
    set_report(null);
    set_columns({});
    set_problems([]);
  };
  return (
    <section class="sheet stack" aria-label="Add a table">
      <h2>{intake ? `What was understood of ${intake.name}` : "Add a table"}</h2>
      {!intake && <Bring bring={set_intake} />}
      <Problems list={problems} />
      {intake && report && (
        <Understood
          graft={graft}
          intake={intake}
          report={report}
          columns={columns}
          correct={(head, role) => set_columns({ ...columns, [head]: role })}
          done={done}
        />
      )}
      {intake && (
        <div class="buttons">
          <button type="button" onClick={again}>
            Another table instead
          </button>
        </div>
      )}
    </section>
  );
}
