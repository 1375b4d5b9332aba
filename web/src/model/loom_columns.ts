// Columns of the tables of the loom by their type: what a cell shows, and what typed text means in it.

import type { Colour, End, Json } from "../api_types";
import type { GridChoice, GridColumn, ReadCell } from "../parts/grid_types";
import { colour_of } from "./colour_text";
import { ink_of, letters } from "./colours";
import { colour_letters } from "./document";
import { length_cell, length_of, length_unit_sign } from "./lengths";
import type { LoomContext } from "./loom_context";
import { size_cell, size_of, sizes_in } from "./sizes";

// A row of any table: an item of the document.
export interface LoomRow {
  id: string;
  item: { id: string };
}

export type LoomColumn = GridColumn<LoomRow>;

type Members = Record<string, unknown>;
const of = (row: LoomRow, key: string): unknown => (row.item as Members)[key];
const words = (row: LoomRow, key: string): string => String(of(row, key) ?? "");
const value_at = (key: string) => (row: LoomRow) => of(row, key) as Json | undefined;
const empty = (text: string): boolean => text.trim() === "";
const refused = (reason: string): ReadCell => ({ refused: reason });

export function text_column(key: string, head: string, width: number, suggestions?: () => readonly GridChoice[]): LoomColumn {
  return {
    key,
    head,
    kind: "text",
    width,
    text: (row) => words(row, key),
    value: value_at(key),
    read: (text) => ({ value: empty(text) ? undefined : text.trim() }),
    ...(suggestions && { choices: suggestions }),
  };
}

// A name that must not be empty.
export function name_column(key: string, head: string, width: number): LoomColumn {
  return {
    ...text_column(key, head, width),
    text: (row) => words(row, key) || row.id,
  };
}

const factors: Record<string, number> = { k: 1000, m: 0.001 };

// "12", "12,5 A", "1.2 kohm". Null for what is no number.
function number_in(text: string, units: readonly string[]): number | null {
  const found = /^(-?\d*[.,]?\d+)\s*(.*)$/.exec(text.trim().replace(/−/g, "-"));
  if (!found) return null;
  const value = Number(found[1]?.replace(",", "."));
  const sign = (found[2] ?? "").trim();
  const unit = sign.toLowerCase();
  if (unit === "" || units.includes(unit)) return value;
  const factor = factors[sign[0] ?? ""] ?? (unit[0] === "k" ? 1000 : undefined);
  if (factor !== undefined && (unit.length === 1 || units.includes(unit.slice(1)))) return Number((value * factor).toPrecision(9));
  return null;
}

interface NumberKind {
  sign: string; // in the head
  units: readonly string[]; // as typed
  least?: number;
}

export const ampere: NumberKind = { sign: "A", units: ["a", "amp", "amps", "ampere"], least: 0 };
export const ohm: NumberKind = { sign: "Ω", units: ["ohm", "ohms", "ω", "r"], least: 0 };
export const celsius: NumberKind = { sign: "°C", units: ["c", "°c", "°", "deg", "degrees"] };
export const minutes: NumberKind = { sign: "min", units: ["min", "mins", "minutes", "'"], least: 0 };
export const millimetre: NumberKind = { sign: "mm", units: ["mm"], least: 0 };

export function number_column(key: string, head: string, width: number, { sign, units, least }: NumberKind): LoomColumn {
  return {
    key,
    head: `${head}, ${sign}`,
    kind: "number",
    width,
    text: (row) => words(row, key),
    order: (row) => of(row, key) as number | undefined,
    value: value_at(key),
    read: (text) => {
      if (empty(text)) return { value: undefined };
      const value = number_in(text, units);
      if (value === null) return refused(`Type a number in ${sign}, such as 12.5.`);
      return least !== undefined && value < least ? refused("It cannot be below zero.") : { value };
    },
  };
}

export function length_column(key: string, head: string, width: number, context: LoomContext): LoomColumn {
  const unit = context.length_unit;
  return {
    key,
    head: `${head}, ${length_unit_sign[unit]}`,
    kind: "number",
    width,
    text: (row) => length_cell(of(row, key) as number | undefined, unit),
    order: (row) => of(row, key) as number | undefined,
    value: value_at(key),
    read: (text) => {
      if (empty(text)) return { value: undefined };
      const mm = length_of(text, unit);
      return mm === null ? refused('Type a length, such as "1.2 m", "120 cm" or "4 ft 2 in".') : { value: mm };
    },
  };
}

export function size_column(key: string, head: string, width: number, context: LoomContext): LoomColumn {
  const { units } = context;
  const choices = sizes_in(units).map((size) => ({ text: units === "awg" ? size.name : String(size.area_mm2) }));
  return {
    key,
    head: units === "awg" ? `${head}, AWG` : `${head}, mm²`,
    kind: "number",
    width,
    text: (row) => size_cell(of(row, key) as number | undefined, units),
    order: (row) => of(row, key) as number | undefined,
    value: value_at(key),
    choices: () => choices,
    read: (text) => {
      if (empty(text)) return { value: undefined };
      const area = size_of(text, units);
      return area === null ? refused('Type a size, such as "0.75 mm²" or "AWG 18".') : { value: area };
    },
  };
}

const colour_choices: readonly GridChoice[] = letters.map((code) => ({ text: code, hint: ink_of(code)?.name ?? "" }));

export function colour_column(
  key: string,
  head: string,
  width: number,
  picture: (colour: Colour | undefined) => ReturnType<NonNullable<LoomColumn["picture"]>>,
): LoomColumn {
  return {
    key,
    head,
    kind: "colour",
    width,
    joiner: "/",
    text: (row) => {
      const colour = of(row, key) as Colour | undefined;
      return colour_letters(colour) || colour?.raw || "";
    },
    value: value_at(key),
    picture: (row) => picture(of(row, key) as Colour | undefined),
    choices: () => colour_choices,
    read: (text) => {
      const colour = colour_of(text);
      if (colour === null)
        return refused(`No colour "${text.trim()}". Base and tracer by their letters: ${letters.join(", ")}; such as RD/GN.`);
      return { value: colour as Json | undefined };
    },
  };
}

// One of several values, by their texts.
export function choice_column(
  key: string,
  head: string,
  width: number,
  choices: readonly (readonly [string, string, string?])[],
  kind: "choice" | "reference" = "choice",
): LoomColumn {
  const text_by_value = new Map(choices.map(([value, text]) => [value, text]));
  const offered = choices.map(([, text, hint]) => ({ text, ...(hint && { hint }) }));
  return {
    key,
    head,
    kind,
    width,
    text: (row) => text_by_value.get(words(row, key)) ?? words(row, key),
    value: value_at(key),
    choices: () => offered,
    read: (text) => {
      if (empty(text)) return { value: undefined };
      const value = value_of(choices, text);
      if (value !== null) return { value };
      const some = offered
        .slice(0, 8)
        .map((choice) => choice.text)
        .join(", ");
      return refused(
        `There is no "${text.trim()}" to choose. ${some === "" ? "Nothing is there yet." : `Choose one of: ${some}${offered.length > 8 ? " …" : "."}`}`,
      );
    },
  };
}

function value_of(choices: readonly (readonly [string, string, string?])[], text: string): string | null {
  const typed = text.trim().toLowerCase();
  const exact = choices.find(([value, name]) => name.toLowerCase() === typed || value.toLowerCase() === typed);
  if (exact) return exact[0];
  const beginning = choices.filter(([, name]) => name.toLowerCase().startsWith(typed));
  return beginning.length === 1 ? (beginning[0]?.[0] ?? null) : null;
}

const yes_words = ["yes", "y", "true", "1", "x", "ja", "oui", "si", "sì", "sí"];
const no_words = ["no", "n", "false", "0", "-", "nein", "non", "nej"];

export function yes_no_column(key: string, head: string, width: number): LoomColumn {
  return {
    key,
    head,
    kind: "choice",
    width,
    text: (row) => (of(row, key) === true ? "yes" : of(row, key) === false ? "no" : ""),
    value: value_at(key),
    choices: () => [{ text: "yes" }, { text: "no" }],
    read: (text) => {
      const word = text.trim().toLowerCase();
      if (word === "") return { value: undefined };
      if (yes_words.includes(word)) return { value: true };
      return no_words.includes(word) ? { value: false } : refused('Type "yes" or "no", or leave it empty.');
    },
  };
}

export function end_column(key: string, head: string, width: number, context: LoomContext): LoomColumn {
  return {
    key,
    head,
    kind: "end",
    width,
    text: (row) => context.ends.text(of(row, key) as End | undefined),
    value: value_at(key),
    choices: () => context.ends.choices,
    read: (text) => {
      const read = context.ends.read(text);
      return "refused" in read ? refused(read.refused) : { value: read.end as Json | undefined };
    },
  };
}

// Several references, separated by semicolons.
export function list_column(
  key: string,
  head: string,
  width: number,
  choices: readonly (readonly [string, string, string?])[],
): LoomColumn {
  const one = choice_column(key, head, width, choices, "reference");
  const text_by_value = new Map(choices.map(([value, text]) => [value, text]));
  return {
    ...one,
    joiner: "; ",
    text: (row) => ((of(row, key) as string[] | undefined) ?? []).map((id) => text_by_value.get(id) ?? id).join("; "),
    read: (text) => {
      const values: string[] = [];
      for (const part of text.split(";").filter((piece) => !empty(piece))) {
        const value = value_of(choices, part);
        if (value === null) return one.read?.(part, { id: "", item: { id: "" } }) ?? refused("");
        values.push(value);
      }
      return { value: values.length > 0 ? values : undefined };
    },
  };
}

// What follows from the rest of the document.
export const derived_column = (key: string, head: string, width: number, text: (row: LoomRow) => string): LoomColumn => ({
  key,
  head,
  kind: "text",
  width,
  text,
});
