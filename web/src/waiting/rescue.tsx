// From the old address of the computer to the new one: what waits is taken along in a file, or as text.

import { useState } from "preact/hooks";
import type { GraftEntry } from "../api_types";
import { show_message } from "../message";
import { type ReadFile, read_waiting_file } from "../model/waiting_file";
import { refused, waiting } from "../net/waiting";
import { waiting_as_text } from "../net/waiting_file";
import { FileButton } from "../parts/file_button";
import { TakeIn } from "./take_in";

function AsText() {
  const [text, set_text] = useState("");
  if (text) {
    return (
      <label class="field">
        <span class="field-name">Copy all of this (photos are only in the file)</span>
        <textarea class="waiting-text" readOnly rows={6} value={text} onFocus={(event) => event.currentTarget.select()} />
      </label>
    );
  }
  return (
    <button type="button" onClick={() => void waiting_as_text().then(set_text)}>
      Show it as text
    </button>
  );
}

function PasteText({ take }: { take: (text: string, name: string) => void }) {
  const [text, set_text] = useState("");
  return (
    <>
      <label class="field">
        <span class="field-name">Paste the text from the old address</span>
        <textarea class="waiting-text" rows={3} value={text} onInput={(event) => set_text(event.currentTarget.value)} />
      </label>
      <button type="button" disabled={text.trim() === ""} onClick={() => take(text, "The text")}>
        Bring the text in
      </button>
    </>
  );
}

export function Rescue({ jobs }: { jobs: readonly GraftEntry[] | null }) {
  const [read, set_read] = useState<ReadFile | null>(null);
  const take = (text: string, name: string) => {
    const found = read_waiting_file(text, name);
    if (typeof found === "string") show_message(found, "error");
    else set_read(found);
  };
  const some = waiting.value.length + refused.value.length > 0;
  if (read) return <TakeIn file={read} jobs={jobs} done={() => set_read(null)} />;
  return (
    <section class="stack" aria-label="Another address">
      <h3>If the computer has another address now</h3>
      <p>
        A browser keeps what waits under the address at which it was entered, and shows it to no other. On the page that is still open at
        the old address choose “Save to a file”. Then open the workbench at its new address and bring that file in here. Nothing is stored
        twice.
      </p>
      <div class="buttons">
        <FileButton
          text="Bring a file in"
          label="A file of what waited"
          accept=".json,application/json"
          take={(file) => void file.text().then((text) => take(text, file.name))}
        />
      </div>
      <details>
        <summary>Without a file: as text</summary>
        <div class="stack">
          {some && <AsText />}
          <PasteText take={take} />
        </div>
      </details>
    </section>
  );
}
