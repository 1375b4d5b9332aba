// Entering a number as the meter shows it: big keys, the unit is chosen and not typed.

import { useEffect, useRef } from "preact/hooks";
import type { ProveTest } from "../api_types";
import { use_draft } from "../drafts";
import { over_range, units_of } from "../model/proof";
import { Choice } from "../parts/field";
import { route } from "../route";

const keys = ["7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0"] as const;
const longest = 7;

interface Props {
  test: ProveTest;
  draft: string; // the field under which a half-typed reading is kept
  given: number | null; // what the practice meter shows
  meter_value: number | null; // what an attached meter shows, if it stands still and is in band
  save: (value: number) => void;
  save_in_band: () => void;
  save_unreached: () => void;
}

// The unit in which a value has the fewest zeros.
function as_shown(value: number, unit: string): { text: string; factor: number } {
  const fitting = units_of(unit).filter(([, factor]) => Math.abs(value) >= factor * 0.9995);
  const factor = fitting.length > 0 ? Math.max(...fitting.map(([, one]) => one)) : Math.min(...units_of(unit).map(([, one]) => one));
  return { text: String(Number((value / factor).toPrecision(4))), factor };
}

// A page-turner or the button of a headset sends one of these.
const is_turner = (key: string): boolean => key === "Enter" || key === " " || key === "PageDown";

// On the bench the value is typed, wherever the focus is on the step; fields and dialogs keep their own keys.
function use_typed_keys(act: (key: string, on_button: boolean) => boolean): void {
  // The listener always calls the latest function: Enter must save what is shown now.
  const latest = useRef(act);
  latest.current = act;
  useEffect(() => {
    const listen = (event: KeyboardEvent) => {
      const target = event.target instanceof Element ? event.target : document.body;
      const on_step = target === document.body || target.tagName === "MAIN" || target.closest(".step") !== null;
      // A key that is held down counts once: what it would answer next is another step.
      if (event.repeat && is_turner(event.key)) return;
      if (!on_step || event.ctrlKey || event.metaKey || event.altKey || target.matches("input, textarea, select")) return;
      if (latest.current(event.key, target.matches("button, a"))) event.preventDefault();
    };
    window.addEventListener("keydown", listen);
    return () => window.removeEventListener("keydown", listen);
  }, []);
}

export function Keypad({ test, draft, given, meter_value, save, save_in_band, save_unreached }: Props) {
  const unit = test.band.unit;
  const shown = given !== null && given < over_range ? as_shown(given, unit) : null;
  const empty = { text: shown?.text ?? "", factor: shown?.factor ?? 1 };
  const [typed, set_typed] = use_draft(route.value.graft, draft, empty);
  const { text, factor } = typed;
  // Two keys can be pressed before the page is rendered again: each counts on what the one before left.
  const now = useRef(typed);
  now.current = typed;
  const set = (changed: Partial<typeof typed>) => {
    now.current = { ...now.current, ...changed };
    set_typed(now.current);
  };
  const set_text = (next: (text: string) => string) => set({ text: next(now.current.text) });
  const over = given !== null && given >= over_range;
  const value = text === "" || text === "." || text === "-" ? null : Number(text) * factor;
  const press = (key: string) =>
    set_text((before) => (before.length >= longest || (key === "." && before.includes(".")) ? before : before + key));
  const change_sign = () => set_text((before) => (before.startsWith("-") ? before.slice(1) : `-${before}`));
  const keypad = useRef<HTMLDivElement>(null);
  // What is typed counts before what the meter shows. Without either nothing is saved: the focus goes where a value is typed.
  const turn = (key: string): boolean => {
    if (value !== null) {
      if (key === "Enter") save(value);
      return key === "Enter";
    }
    if (meter_value !== null) save(meter_value);
    else if (document.activeElement === keypad.current) return false;
    else keypad.current?.focus();
    return true;
  };
  use_typed_keys((key, on_button) => {
    if (/^[0-9.,]$/.test(key)) press(key.replace(",", "."));
    else if (key === "-" && unit !== "ohm") change_sign();
    else if (key === "Backspace") set_text((before) => before.slice(0, -1));
    else if (is_turner(key) && !(on_button && key !== "PageDown")) return turn(key);
    else return false;
    return true;
  });
  const units = units_of(unit).map(([text]) => [text, text] as const);
  const unit_now = units_of(unit).find(([, one]) => one === factor)?.[0] ?? unit;
  return (
    <div class="keypad" ref={keypad} role="group" aria-label="What the meter shows" tabIndex={0}>
      <div class="keypad-top">
        <output class="keypad-shown" aria-label="Reading">
          {over && text === "" ? "over range" : `${text || "–"} ${unit_now}`}
        </output>
        <Choice
          label="Unit"
          hidden_label
          value={unit_now}
          choices={units}
          take={(text) => set({ factor: units_of(unit).find(([one]) => one === text)?.[1] ?? 1 })}
        />
      </div>
      <div class="keypad-keys">
        {keys.map((key) => (
          <button key={key} type="button" onClick={() => press(key)}>
            {key}
          </button>
        ))}
        <button type="button" aria-label="Delete the last digit" onClick={() => set_text((before) => before.slice(0, -1))}>
          ←
        </button>
      </div>
      <div class="keypad-ends">
        {unit !== "ohm" && (
          <button type="button" aria-pressed={text.startsWith("-")} onClick={change_sign}>
            minus
          </button>
        )}
        {unit === "ohm" && (
          <button type="button" onClick={() => save(over_range)}>
            Over range
          </button>
        )}
        <button type="button" onClick={save_in_band}>
          In band, no value
        </button>
        <button type="button" onClick={save_unreached}>
          Cannot be reached
        </button>
      </div>
      <button type="button" class="primary keypad-save" disabled={value === null && !over} onClick={() => save(value ?? over_range)}>
        Save the reading
      </button>
      <p class="soft by-keyboard">Or type the value; Enter saves it.</p>
    </div>
  );
}
