// A number as the meter shows it: big keys, the unit chosen and not typed.

import { useEffect, useRef, useState } from "preact/hooks";
import type { ProveTest } from "../api_types";
import { over_range, units_of } from "../model/proof";
import { Choice } from "../parts/field";

const keys = ["7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0"] as const;
const longest = 7;

interface Props {
  test: ProveTest;
  given: number | null; // what the practice meter shows
  take: (value: number) => void;
  in_band: () => void;
  cannot_reach: () => void;
}

// The unit in which a value reads with least noughts.
function as_shown(value: number, unit: string): { text: string; factor: number } {
  const fitting = units_of(unit).filter(([, factor]) => Math.abs(value) >= factor * 0.9995);
  const factor = fitting.length > 0 ? Math.max(...fitting.map(([, one]) => one)) : Math.min(...units_of(unit).map(([, one]) => one));
  return { text: String(Number((value / factor).toPrecision(4))), factor };
}

// On the bench the figure is typed, wherever the focus rests on the step; fields and dialogs keep what is typed in them.
function use_typed(act: (key: string, on_button: boolean) => boolean): void {
  // Enter saves what is shown: never by way of an older listener.
  const shown = useRef(act);
  shown.current = act;
  useEffect(() => {
    const listen = (event: KeyboardEvent) => {
      const target = event.target instanceof Element ? event.target : document.body;
      const here = target === document.body || target.tagName === "MAIN" || target.closest(".step") !== null;
      if (!here || event.ctrlKey || event.metaKey || event.altKey || target.matches("input, textarea, select")) return;
      if (shown.current(event.key, target.matches("button, a"))) event.preventDefault();
    };
    window.addEventListener("keydown", listen);
    return () => window.removeEventListener("keydown", listen);
  }, []);
}

export function Keypad({ test, given, take, in_band, cannot_reach }: Props) {
  const unit = test.band.unit;
  const shown = given !== null && given < over_range ? as_shown(given, unit) : null;
  const [text, set_text] = useState(shown?.text ?? "");
  const [factor, set_factor] = useState(shown?.factor ?? 1);
  const over = given !== null && given >= over_range;
  const value = text === "" || text === "." || text === "-" ? null : Number(text) * factor;
  const press = (key: string) =>
    set_text((now) => (now.length >= longest || (key === "." && now.includes(".")) ? now : now + key));
  const turn = () => set_text((now) => (now.startsWith("-") ? now.slice(1) : `-${now}`));
  use_typed((key, on_button) => {
    if (/^[0-9.,]$/.test(key)) press(key.replace(",", "."));
    else if (key === "-" && unit !== "ohm") turn();
    else if (key === "Backspace") set_text((now) => now.slice(0, -1));
    else if (key === "Enter" && value !== null && !on_button) take(value);
    else return false;
    return true;
  });
  const units = units_of(unit).map(([words]) => [words, words] as const);
  const unit_now = units_of(unit).find(([, one]) => one === factor)?.[0] ?? unit;
  return (
    <div class="keypad" role="group" aria-label="What the meter shows" tabIndex={0}>
      <div class="keypad-top">
        <output class="keypad-shown" aria-label="Reading">
          {over && text === "" ? "over range" : `${text || "–"} ${unit_now}`}
        </output>
        <Choice
          label="Unit"
          unseen_label
          value={unit_now}
          choices={units}
          take={(words) => set_factor(units_of(unit).find(([one]) => one === words)?.[1] ?? 1)}
        />
      </div>
      <div class="keypad-keys">
        {keys.map((key) => (
          <button key={key} type="button" onClick={() => press(key)}>
            {key}
          </button>
        ))}
        <button type="button" aria-label="Take the last digit back" onClick={() => set_text((now) => now.slice(0, -1))}>
          ←
        </button>
      </div>
      <div class="keypad-ends">
        {unit !== "ohm" && (
          <button type="button" aria-pressed={text.startsWith("-")} onClick={turn}>
            minus
          </button>
        )}
        {unit === "ohm" && (
          <button type="button" onClick={() => take(over_range)}>
            Over range
          </button>
        )}
        <button type="button" onClick={in_band}>
          In band, no figure
        </button>
        <button type="button" onClick={cannot_reach}>
          Cannot be reached
        </button>
      </div>
      <button type="button" class="first keypad-save" disabled={value === null && !over} onClick={() => take(value ?? over_range)}>
        Save the reading
      </button>
      <p class="soft by-keyboard">Or type it; Enter saves.</p>
    </div>
  );
}
