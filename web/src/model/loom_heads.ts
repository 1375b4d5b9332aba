// What the heads of a pasted table mean: words in several languages for each column of the loom's tables.

import published from "../../../data/column_heads.csv";
import heads from "../../../data/loom_heads.csv";
import { cells_of } from "./csv";

// member -> words
const words: Record<string, string> = Object.fromEntries(
  cells_of(heads, ",")
    .slice(1)
    .map(([member = "", list = ""]) => [member, list]),
);

const plain = (text: string): string =>
  text
    .toLowerCase()
    .replace(/[([,].*$/, "")
    .replace(/[.:_]/g, " ")
    .replace(/\s+/g, " ")
    .trim();

const sets = new Map(Object.entries(words).map(([key, list]) => [key, new Set(list.split("|"))]));

// The heads of pin tables that people meet stand for the same facts of a wire.
for (const [head = "", role] of cells_of(published, ",").slice(1)) {
  if (role === "colour") sets.get("colour")?.add(head);
  if (role === "signal") sets.get("signal")?.add(head);
  if (role === "far_end") sets.get("to")?.add(head);
}

// The first of the columns that the head can mean.
export const meaning_of_head = (head: string, keys: readonly string[]): string | undefined =>
  keys.find((key) => sets.get(key)?.has(plain(head)));

// The unit that a head names: "Length (mm)", "Size, AWG".
export function unit_in_head(head: string): string {
  const found =
    /[([,]\s*(mm²|mm2|mm|cm|m|ft|in|awg|a|ma|ohm|ω|kohm|°?c|min)[\s)\]]*(?:,.*)?$/i.exec(head) ?? /^(awg|mm²|mm2)$/i.exec(head.trim());
  return (found?.[1] ?? "").toLowerCase();
}
