// A small question mark beside a word that puzzles; pressed, it says what the word means.

import { useId, useState } from "preact/hooks";
import { glossary_entry } from "../model/glossary";

export function Help({ word }: { word: string }) {
  const [open, set_open] = useState(false);
  const id = useId();
  const entry = glossary_entry(word);
  if (!entry) return null;
  return (
    <span class="help no-print">
      <button
        type="button"
        class="help-button"
        aria-expanded={open}
        aria-controls={id}
        aria-label={`What is “${entry.word}”?`}
        onClick={() => set_open(!open)}
      >
        <span aria-hidden="true">?</span>
      </button>
      <span id={id} class="help-text" role="status">
        {open && (
          <>
            <strong>{entry.word}</strong>: {entry.text}
          </>
        )}
      </span>
    </span>
  );
}
