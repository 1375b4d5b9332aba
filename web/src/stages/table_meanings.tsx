// What the colour letters and the types of a file mean: said once, it holds for the whole file.

import type { PinClass, ReadTable } from "../api_types";
import { pin_classes } from "../api_types";
import { ink_of, letters } from "../model/colours";
import { class_text } from "../model/pin_classes";
import { colour_codes_in, stated_types_in } from "../model/table_meanings";
import { Select } from "../parts/field";

export interface Meaning {
  colour_codes?: Record<string, string>;
  types?: Record<string, PinClass>;
}

const colour_choices = [["", "not known"] as const, ...letters.map((code) => [code, `${code} ${ink_of(code)?.name ?? ""}`] as const)];
const type_choices = pin_classes.map((name) => [name, class_text(name)] as const);

export function TableMeanings({ table, mean }: { table: ReadTable; mean: (meaning: Meaning) => void }) {
  const codes = colour_codes_in(table.pins);
  const types = stated_types_in(table.pins);
  if (codes.length === 0 && types.length === 0) return null;
  return (
    <details>
      <summary>What the colours{types.length > 0 && " and types"} of this file mean</summary>
      <p class="soft">Said once, it holds for every row of the file.</p>
      <ul class="meanings">
        {codes.map(({ code, colour }) => (
          <li key={`colour ${code}`}>
            <Select
              label={`colour "${code}"`}
              value={colour}
              choices={colour_choices}
              take={(chosen) => chosen && mean({ colour_codes: { [code]: chosen } })}
            />
          </li>
        ))}
        {types.map(({ type, pin_class }) => (
          <li key={`type ${type}`}>
            <Select
              label={`type "${type}"`}
              value={pin_class}
              choices={type_choices}
              take={(chosen) => mean({ types: { [type]: chosen } })}
            />
          </li>
        ))}
      </ul>
    </details>
  );
}
