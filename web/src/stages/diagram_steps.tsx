// Steps through the circuits of the diagram: previous, next, or one of the list.

import type { Sheet, SheetGroup } from "../model/diagram_sheets";

interface Props {
  sheets: readonly Sheet[];
  chosen: string; // "" is the whole loom
  name: string; // of the chosen one, which need not be among the sheets
  choose: (id: string) => void;
}

const groups: readonly (readonly [SheetGroup, string])[] = [
  ["added", "Added by the plan"],
  ["moved", "Moved by the plan"],
  ["taken out", "Taken out by the plan"],
  ["unchanged", "Everything else"],
];

const is_changed = (sheet: Sheet): boolean => sheet.group !== "unchanged";

function place_text(sheets: readonly Sheet[], at: number): string {
  const changed = sheets.filter(is_changed).length;
  const sheet = sheets[at];
  if (!sheet) return "";
  return is_changed(sheet) ? `${at + 1} of ${changed} that the plan changes` : `${at + 1 - changed} of ${sheets.length - changed} others`;
}

export function CircuitSteps({ sheets, chosen, name, choose }: Props) {
  const at = sheets.findIndex(({ id }) => id === chosen);
  const previous = sheets[at - 1];
  const next = sheets[at + 1];
  return (
    <div class="circuit-steps" role="group" aria-label="Circuits to step through">
      <button type="button" disabled={!previous} onClick={() => previous && choose(previous.id)} aria-label="Previous circuit">
        ‹ Previous
      </button>
      <label class="field">
        <span class="field-name">Circuit {place_text(sheets, at) && `(${place_text(sheets, at)})`}</span>
        <select value={chosen || "all"} onChange={(event) => choose(event.currentTarget.value)}>
          <option value="all" selected={chosen === ""}>
            the whole loom
          </option>
          {at < 0 && chosen !== "" && (
            <option value={chosen} selected>
              {name}
            </option>
          )}
          {groups.map(([group, text]) => {
            const list = sheets.filter((sheet) => sheet.group === group);
            if (list.length === 0) return null;
            return (
              <optgroup key={group} label={text}>
                {list.map((sheet) => (
                  <option key={sheet.id} value={sheet.id} selected={sheet.id === chosen}>
                    {sheet.name}
                  </option>
                ))}
              </optgroup>
            );
          })}
        </select>
      </label>
      <button type="button" disabled={!next} onClick={() => next && choose(next.id)} aria-label="Next circuit">
        Next ›
      </button>
    </div>
  );
}
