// Help: the keys of the page, and its words.

import { useState } from "preact/hooks";
import { close_dialog } from "./dialogs";
import { search_glossary } from "./model/glossary";
import { Dialog } from "./parts/dialog";

const keys: readonly (readonly [string, string])[] = [
  ["/", "search in this job"],
  ["?", "this help"],
  ["Ctrl+Z", "undo"],
  ["Ctrl+Shift+Z", "redo"],
  ["Enter", "apply what is typed in a field; save a reading"],
  ["Esc", "take back what is typed in a field; close a dialog"],
  ["arrow keys", "from part to part in a drawing; move a diagram"],
  ["+  −  0", "larger, smaller, whole diagram"],
  ["0 … 9", "the reading, on a step of the test plan"],
];

function Keys() {
  return (
    <section aria-label="Keys">
      <h3>Keys</h3>
      <dl class="keys">
        {keys.map(([key, text]) => (
          <div key={key}>
            <dt>
              <kbd>{key}</kbd>
            </dt>
            <dd>{text}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

function Words() {
  const [text, set_text] = useState("");
  const found = search_glossary(text);
  return (
    <section class="stack" aria-label="Words">
      <h3>Words</h3>
      <label class="field">
        <span class="field-name">Find a word</span>
        <input type="search" value={text} onInput={(event) => set_text(event.currentTarget.value)} />
      </label>
      <dl class="glossary">
        {found.map(({ word, text: meaning }) => (
          <div key={word}>
            <dt>{word}</dt>
            <dd>{meaning}</dd>
          </div>
        ))}
      </dl>
      {found.length === 0 && <p role="status">No word here has “{text.trim()}” in it.</p>}
    </section>
  );
}

export function HelpDialog() {
  return (
    <Dialog title="Help" close={close_dialog}>
      <div class="stack">
        <p class="soft">The line under the head of each stage says what to do next. Everything can be undone.</p>
        <Words />
        <Keys />
      </div>
    </Dialog>
  );
}
