// A field that is edited in place: Enter or leaving the field applies the change, Escape cancels it.

import { useId, useRef, useState } from "preact/hooks";
import { draft_of, drop_draft, keep_draft } from "../drafts";
import { route } from "../route";

interface Props {
  label: string;
  value: string;
  take: (value: string) => void;
  unit?: string;
  numeric?: boolean;
  hidden_label?: boolean;
  hint?: string;
  keep?: string; // what the field is of: "w12.length_mm". What is half-typed then survives another stage and a reload
}

interface Draft {
  text: string;
  over: string; // the value that it replaces
}

const no_draft: Draft = { text: "", over: "" };

export function Field({ label, value, take, unit, numeric, hidden_label, hint, keep }: Props) {
  // A draft belongs to the value that it replaces: if another device changes that value, the draft is dropped.
  const kept_as = keep ? `field.${keep}` : "";
  const [typed, set_typed] = useState<Draft | null>(() => (kept_as ? draft_of<Draft>(route.value.graft, kept_as, no_draft) : null));
  const draft = typed?.over === value ? typed.text : null;
  const set_draft = (text: string | null) => {
    const next = text === null ? null : { text, over: value };
    if (kept_as && next) keep_draft(route.value.graft, kept_as, next);
    else if (kept_as) drop_draft(route.value.graft, kept_as);
    set_typed(next);
  };
  const cancelled = useRef(false);
  const done = () => {
    if (draft !== null && draft.trim() !== value && !cancelled.current) take(draft.trim());
    cancelled.current = false;
    set_draft(null);
  };
  return (
    <label class="field">
      <span class={hidden_label ? "visually-hidden" : "field-name"}>{label}</span>
      <span class="field-box">
        <input
          value={draft ?? value}
          class={draft !== null && draft !== value ? "half-typed" : ""}
          inputMode={numeric ? "decimal" : "text"}
          placeholder={hint ?? ""}
          size={numeric ? 7 : 16}
          onInput={(event) => set_draft(event.currentTarget.value)}
          onBlur={done}
          onKeyDown={(event) => {
            if (event.key === "Enter") event.currentTarget.blur();
            if (event.key === "Escape") {
              cancelled.current = true;
              event.currentTarget.blur();
            }
          }}
        />
        {unit && <span class="unit">{unit}</span>}
      </span>
    </label>
  );
}

// A typed number; a decimal comma is accepted. Undefined for an empty field, null for anything else.
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
  hidden_label?: boolean;
}

// One of a few choices, all visible.
export function Choice<T extends string>({ label, value, choices, take, hidden_label }: ChoiceProps<T>) {
  return (
    <fieldset class="choice">
      <legend class={hidden_label ? "visually-hidden" : ""}>{label}</legend>
      <div class="choice-row">
        {choices.map(([key, text]) => (
          <button key={key} type="button" aria-pressed={key === value} onClick={() => take(key)}>
            {text}
          </button>
        ))}
      </div>
    </fieldset>
  );
}

// One of many, in a list that opens.
export function Select<T extends string>({ label, value, choices, take, hidden_label }: ChoiceProps<T>) {
  const id = useId();
  const choose = (wanted: string) => {
    const found = choices.find(([key]) => key === wanted);
    if (found) take(found[0]);
  };
  return (
    <div class="field">
      <label for={id} class={hidden_label ? "visually-hidden" : "field-name"}>
        {label}
      </label>
      <select id={id} value={value} onChange={(event) => choose(event.currentTarget.value)}>
        {choices.map(([key, text]) => (
          <option key={key} value={key} selected={key === value}>
            {text}
          </option>
        ))}
      </select>
    </div>
  );
}
