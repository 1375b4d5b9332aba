// A field that is edited in place: Enter or leaving it takes the change, Escape takes it back.

import { useId, useRef, useState } from "preact/hooks";

interface Props {
  label: string;
  value: string;
  take: (value: string) => void;
  unit?: string;
  numeric?: boolean;
  unseen_label?: boolean;
  hint?: string;
}

export function Field({ label, value, take, unit, numeric, unseen_label, hint }: Props) {
  // What is typed belongs to the value it was typed over: where another device changed that, theirs shows.
  const [typed, set_typed] = useState<{ text: string; over: string } | null>(null);
  const draft = typed?.over === value ? typed.text : null;
  const set_draft = (text: string | null) => set_typed(text === null ? null : { text, over: value });
  const left_alone = useRef(false);
  const done = () => {
    if (draft !== null && draft.trim() !== value && !left_alone.current) take(draft.trim());
    left_alone.current = false;
    set_draft(null);
  };
  return (
    <label class="field">
      <span class={unseen_label ? "unseen" : "field-name"}>{label}</span>
      <span class="field-box">
        <input
          value={draft ?? value}
          inputMode={numeric ? "decimal" : "text"}
          placeholder={hint ?? ""}
          size={numeric ? 7 : 16}
          onInput={(event) => set_draft(event.currentTarget.value)}
          onBlur={done}
          onKeyDown={(event) => {
            if (event.key === "Enter") event.currentTarget.blur();
            if (event.key === "Escape") {
              left_alone.current = true;
              event.currentTarget.blur();
            }
          }}
        />
        {unit && <span class="unit">{unit}</span>}
      </span>
    </label>
  );
}

// What a person typed as a number: a comma is a point; nothing is "not stated"; anything else is refused.
export function number_of(text: string): number | undefined | null {
  if (text === "") return undefined;
  const value = Number(text.replace(",", "."));
  return Number.isFinite(value) && value > 0 ? value : null;
}

interface ChoiceProps<T extends string> {
  label: string;
  value: T;
  choices: readonly (readonly [T, string])[];
  take: (value: T) => void;
  unseen_label?: boolean;
}

// One of few, all in sight.
export function Choice<T extends string>({ label, value, choices, take, unseen_label }: ChoiceProps<T>) {
  return (
    <fieldset class="choice">
      <legend class={unseen_label ? "unseen" : ""}>{label}</legend>
      <div class="choice-row">
        {choices.map(([key, words]) => (
          <button key={key} type="button" aria-pressed={key === value} onClick={() => take(key)}>
            {words}
          </button>
        ))}
      </div>
    </fieldset>
  );
}

interface SelectProps {
  label: string;
  value: string;
  choices: readonly (readonly [string, string])[];
  take: (value: string) => void;
  unseen_label?: boolean;
}

export function Select({ label, value, choices, take, unseen_label }: SelectProps) {
  const id = useId();
  return (
    <div class="field">
      <label for={id} class={unseen_label ? "unseen" : "field-name"}>
        {label}
      </label>
      <select id={id} value={value} onChange={(event) => take(event.currentTarget.value)}>
        {choices.map(([key, words]) => (
          <option key={key} value={key} selected={key === value}>
            {words}
          </option>
        ))}
      </select>
    </div>
  );
}
