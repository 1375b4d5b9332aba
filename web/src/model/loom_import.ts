// A pasted or dropped table becomes rows of a table of the loom: what each column means, which rows are added or change
// an item that is there, and which cannot be used and why. Nothing is taken before a person has seen this.

import type { Device, End, Graft, Json, Wire } from "../api_types";
import type { ReadCell } from "../parts/grid_types";
import { colour_of } from "./colour_text";
import { cells_of, separator_of } from "./csv";
import type { LoomColumn, LoomRow } from "./loom_columns";
import type { LoomContext } from "./loom_context";
import { id_maker, type LoomList, with_added, with_cells, with_path_renamed } from "./loom_edits";
import { meaning_of_head, unit_in_head } from "./loom_heads";
import { MissingParts } from "./missing_parts";

export interface ImportTable {
  name: string;
  list: LoomList;
  title: string; // the column that names a row
  new_item: { id: string } & Record<string, unknown>;
}

export interface ImportColumn {
  head: string; // as pasted; empty without a head line
  meaning: string; // key of a column, or empty: ignored
  guessed: boolean;
  sample: string;
}

export interface ImportRow {
  line: number; // in the pasted text, from 1
  cells: string[];
  verdict: "added" | "changed" | "same" | "unusable";
  name: string;
  text: string; // what changes, or why it cannot be used
}

export interface Import {
  separator: string;
  has_head: boolean;
  columns: ImportColumn[];
  rows: ImportRow[];
  made: string[]; // what else is added
  after: Graft;
}

export interface ImportChoices {
  meanings: Record<number, string>; // what a person said a column means
  has_head: boolean | null; // null: found out
  make_missing: boolean;
}

// In a table without a head line the columns stand in this order.
const usual_order: Record<string, readonly string[]> = {
  wires: ["from", "to", "colour", "area_mm2", "length_mm", "signal"],
  fuses: ["name", "rating_a", "protects", "fed"],
};

export const extra_meanings: Record<string, readonly (readonly [string, string])[]> = {
  fuses: [
    ["protects", "What it protects"],
    ["fed", "Fed from"],
  ],
};

const plain = (text: string): string => text.trim().toLowerCase().replace(/\s+/g, " ");

// What a column can mean, in the order in which heads are tried.
function keys_of(table: ImportTable, columns: readonly LoomColumn[]): string[] {
  const own = columns.filter((column) => column.read).map((column) => column.key);
  return ["id", ...own.filter((key) => key !== "id"), ...(extra_meanings[table.name] ?? []).map(([key]) => key)];
}

const own_head = (columns: readonly LoomColumn[], head: string): string | undefined => {
  const bare = (text: string) => plain(text.replace(/[,([].*$/, ""));
  return columns.find((column) => bare(column.head) === bare(head))?.key;
};

const meaning_by_head = (table: ImportTable, columns: readonly LoomColumn[], head: string): string => {
  if (plain(head) === "id") return "id";
  const own = own_head(columns, head);
  // A column that follows from the rest is exported, and ignored when it comes back.
  if (own !== undefined) return columns.find((column) => column.key === own)?.read ? own : "";
  return meaning_of_head(head, keys_of(table, columns)) ?? "";
};

function looks_like_head(table: ImportTable, columns: readonly LoomColumn[], cells: readonly string[]): boolean {
  const filled = cells.filter((cell) => cell.trim() !== "");
  const known = filled.filter((cell) => own_head(columns, cell) !== undefined || meaning_by_head(table, columns, cell) !== "");
  return known.length > 0 && known.length * 2 >= filled.length && !filled.some((cell) => /^\d+([.,]\d+)?$/.test(cell.trim()));
}

const no_row: LoomRow = { id: "", item: { id: "" } };

// How well the cells of a column fit a meaning, from 0 to 1.
function fit(cells: readonly string[], column: LoomColumn | undefined): number {
  const filled = cells.filter((cell) => cell.trim() !== "");
  if (filled.length === 0 || !column?.read || column.kind === "text") return 0;
  const fits = (cell: string) => {
    if (column.kind === "colour") return Boolean(colour_of(cell));
    const read = column.read?.(cell, no_row);
    return read !== undefined && "value" in read;
  };
  return filled.filter(fits).length / filled.length;
}

// Without heads: the usual order, corrected where the cells plainly say otherwise.
function meanings_by_content(table: ImportTable, columns: readonly LoomColumn[], rows: readonly string[][], width: number): string[] {
  const order = usual_order[table.name] ?? columns.filter((column) => column.read).map((column) => column.key);
  const by_key = new Map(columns.map((column) => [column.key, column]));
  const column_cells = Array.from({ length: width }, (_, at) => rows.map((row) => row[at] ?? ""));
  const colours = column_cells.map((cells) => fit(cells, by_key.get("colour")));
  const best = colours.indexOf(Math.max(...colours));
  const expected = order.indexOf("colour");
  const elsewhere = best !== expected && (colours[best] ?? 0) > 0.6 && (colours[expected] ?? 0) < 0.5;
  if (!by_key.has("colour") || !elsewhere) return column_cells.map((_, at) => order[at] ?? "");
  const others = order.filter((key) => key !== "colour");
  return column_cells.map((_, at) => (at === best ? "colour" : (others[at < best ? at : at - 1] ?? "")));
}

const reason_of = (read: ReadCell | undefined): string => (read && "refused" in read ? read.refused : "");

// The bare number of a column whose head has the unit gets it: 1200 under "Length (mm)" is 1200 mm.
function with_unit(cell: string, unit: string): string {
  const text = cell.trim().replace(/^'(?=[=+@-])/, "");
  if (unit === "" || !/^[\d.,/]+$/.test(text)) return text;
  return unit === "awg" ? `AWG ${text}` : `${text} ${unit}`;
}

// The two ends of a wire, whichever is called the first; empty unless both are known.
function key_of_ends(from: End | undefined, to: End | undefined): string {
  if (!from?.at || !to?.at) return "";
  return [from, to]
    .map((end) => `${end.at}\n${end.cavity ?? ""}`)
    .sort()
    .join("\n");
}

const name_of_head = (column: LoomColumn): string => column.head.replace(/,.*/, "");

// "0.75 mm²": the unit of the head behind a bare number.
function with_its_unit(column: LoomColumn, text: string): string {
  const unit = /, (.*)$/.exec(column.head)?.[1];
  return unit && /^[\d.]+$/.test(text) ? `${text} ${unit}` : text;
}

class Importer {
  readonly missing: MissingParts;
  readonly added: ({ id: string } & Record<string, unknown>)[] = [];
  readonly wires: Wire[] = [];
  readonly changes: { id: string; member: string; value: Json | undefined }[] = [];
  private readonly new_id: (wanted: string) => string;
  private readonly new_wire_id: (wanted: string) => string;
  private readonly titles: Map<string, LoomRow[]>;
  private readonly by_id: Map<string, LoomRow>;
  private readonly by_plain_id: Map<string, LoomRow>;
  private readonly by_ends = new Map<string, LoomRow[]>();
  private readonly matched = new Set<string>();

  constructor(
    private readonly table: ImportTable,
    private readonly context: LoomContext,
    private readonly columns: readonly LoomColumn[],
    rows: readonly LoomRow[],
    private readonly make_missing: boolean,
  ) {
    this.missing = new MissingParts(context.doc);
    this.new_id = id_maker(context.doc, table.list);
    this.new_wire_id = id_maker(context.doc, "wires");
    this.by_id = new Map(rows.map((row) => [row.id, row]));
    this.by_plain_id = new Map(rows.map((row) => [plain(row.id.replace(/_/g, " ")), row]));
    for (const row of table.list === "wires" ? rows : []) {
      const key = key_of_ends((row.item as Wire).from, (row.item as Wire).to);
      if (key !== "") this.by_ends.set(key, [...(this.by_ends.get(key) ?? []), row]);
    }
    this.titles = new Map();
    const title = columns.find((column) => column.key === table.title);
    for (const row of rows) {
      const name = plain(title?.text(row) ?? "");
      this.titles.set(name, [...(this.titles.get(name) ?? []), row]);
    }
  }

  row(line: number, cells: string[], texts: Map<string, string>): ImportRow {
    const values = new Map<string, Json | undefined>();
    const reasons: string[] = [];
    const to_make: (() => void)[] = []; // only for a row that can be used
    for (const [key, text] of texts) {
      const column = this.columns.find((one) => one.key === key);
      if (!column?.read || text === "" || key === "id") continue;
      const read = column.read(text, no_row);
      const make = "refused" in read ? this.maker(column, text) : null;
      if ("value" in read) values.set(key, read.value);
      else if (make) to_make.push(() => values.set(key, make()));
      else reasons.push(`${name_of_head(column)}: ${reason_of(read)}`);
    }
    const name = texts.get(this.table.title) ?? texts.get("id") ?? "";
    const result = (verdict: ImportRow["verdict"], text: string, shown = name): ImportRow => ({ line, cells, verdict, name: shown, text });
    if (reasons.length > 0) return result("unusable", reasons.join(" "));
    for (const make of to_make) make();
    if (values.size === 0 && !texts.get("id")) return result("unusable", "Nothing of this row has a meaning for this table.");
    const found = this.match(texts, values);
    if (found === "several") return result("unusable", `Several rows are called "${name}". Give the id, or make the names differ.`);
    if (found && this.matched.has(found.id)) return result("unusable", `An earlier row already changes "${name || found.id}".`);
    return found ? this.change(found, values, texts, result) : this.add(values, texts, result);
  }

  // Makes what the text of a cell names and the document does not have.
  private maker(column: LoomColumn, text: string): (() => Json) | null {
    if (!this.make_missing) return null;
    if (column.kind === "end") {
      const end = this.context.ends.read(text);
      return "unknown" in end ? () => this.missing.end(text) as Json : null;
    }
    const is_place = column.kind === "reference" && ["place", "from", "to"].includes(column.key);
    return is_place ? () => this.missing.place(text) : null;
  }

  private match(texts: Map<string, string>, values: Map<string, Json | undefined>): LoomRow | "several" | undefined {
    const id = texts.get("id");
    if (id) {
      const by_id = this.by_id.get(id) ?? this.by_plain_id.get(plain(id.replace(/_/g, " ")));
      if (by_id || this.table.title !== "id") return by_id;
    }
    const name = texts.get(this.table.title);
    if (this.table.list === "wires") return this.match_wire(name, values);
    if (!name) return undefined;
    const named = this.titles.get(plain(name)) ?? [];
    if (named.length > 1) return "several";
    return named[0] ?? this.by_plain_id.get(plain(name.replace(/_/g, " ")));
  }

  // A wire is known by its two ends; names repeat, and count only where the row does not give both ends.
  private match_wire(name: string | undefined, values: Map<string, Json | undefined>): LoomRow | undefined {
    const ends = key_of_ends(values.get("from") as End | undefined, values.get("to") as End | undefined);
    if (ends !== "") {
      const same = (this.by_ends.get(ends) ?? []).filter((row) => !this.matched.has(row.id));
      const named = same.filter((row) => name && plain((row.item as Wire).signal ?? "") === plain(name));
      return same.length === 1 ? same[0] : named[0];
    }
    const named = name ? (this.titles.get(plain(name)) ?? []) : [];
    return named.length === 1 ? named[0] : undefined;
  }

  private describe(values: Map<string, Json | undefined>, row: LoomRow | null, texts: Map<string, string>): string[] {
    return [...values].flatMap(([key, value]) => {
      const column = this.columns.find((one) => one.key === key);
      if (!column || key === this.table.title) return [];
      const written = with_its_unit(column, column.text({ id: row?.id ?? "", item: { id: "", [key]: value } as { id: string } }));
      // An end at something that is only now added has no name yet but the one in the text.
      const now = column.kind === "end" || written === "" ? (texts.get(key) ?? "") : written;
      const before = row ? with_its_unit(column, column.text(row)) || "nothing" : "";
      return [`${name_of_head(column)} ${row ? `${before} → ` : ""}${now}`];
    });
  }

  private change(
    row: LoomRow,
    values: Map<string, Json | undefined>,
    texts: Map<string, string>,
    result: (verdict: ImportRow["verdict"], text: string, name?: string) => ImportRow,
  ): ImportRow {
    const different = new Map([...values].filter(([key, value]) => this.differs(row, key, value)));
    this.matched.add(row.id);
    // "F12" names the fuse; it is not a shorter name for it.
    if (plain(String(different.get("name") ?? "")) === plain(row.id)) different.delete("name");
    const more = this.fuse_facts(row.item as Device, texts, different);
    for (const [member, value] of different) this.changes.push({ id: row.id, member, value });
    const title = this.columns.find((column) => column.key === this.table.title)?.text(row) ?? row.id;
    const text = [...this.describe(different, row, texts), ...more].join("; ");
    return text === "" && different.size === 0 ? result("same", "as it is already", title) : result("changed", text || "the name", title);
  }

  private differs(row: LoomRow, key: string, value: Json | undefined): boolean {
    const before = (row.item as unknown as Record<string, Json | undefined>)[key];
    const letters = (one: Json | undefined) =>
      JSON.stringify(one && typeof one === "object" && !Array.isArray(one) ? { ...one, raw: undefined } : one);
    return letters(before) !== letters(value);
  }

  private add(
    values: Map<string, Json | undefined>,
    texts: Map<string, string>,
    result: (verdict: ImportRow["verdict"], text: string, name?: string) => ImportRow,
  ): ImportRow {
    const name = texts.get(this.table.title) ?? "";
    const wanted = texts.get("id") || (this.table.list === "wires" ? "" : name);
    const item: { id: string } & Record<string, unknown> = { ...this.table.new_item, id: this.new_id(wanted) };
    for (const [key, value] of values) if (value !== undefined && key !== "id") item[key] = value;
    const more = this.table.name === "fuses" ? this.fuse_facts(item as unknown as Device, texts, null) : [];
    this.added.push(item);
    return result("added", [...this.describe(values, null, texts), ...more].join("; "), name || String(item.id));
  }

  // What it protects goes into its name, what feeds it becomes a wire; both only where nothing is there yet.
  private fuse_facts(fuse: Device, texts: Map<string, string>, values: Map<string, Json | undefined> | null): string[] {
    if (this.table.name !== "fuses") return [];
    const facts: string[] = [];
    const protects = texts.get("protects");
    const bare = plain(fuse.name ?? fuse.id) === plain(fuse.id) || !values;
    if (protects && bare) {
      const name = `${fuse.name || fuse.id}, ${protects}`;
      if (values) values.set("name", name);
      else fuse.name = name;
      facts.push(`protects ${protects}`);
    }
    const fed = texts.get("fed");
    if (fed && this.context.at(fuse.id, "1").length === 0) {
      const from = this.feed(fed);
      this.wires.push({ id: this.new_wire_id(""), signal: `feed of ${fuse.id}`, from, to: { at: fuse.id, cavity: "1" }, guessed: true });
      facts.push(`a wire from ${this.context.ends.text(from) || `terminal ${fed}`} to it`);
    }
    return facts;
  }

  // "15", "30", "Kl. 15": the bar of that terminal; else an end as it stands.
  private feed(text: string): End {
    const number = /^(?:terminal|klemme|kl\.?|t|borne)?\s*(\d{1,2}[a-z]?)$/i.exec(text.trim())?.[1];
    if (!number) {
      const read = this.context.ends.read(text);
      return "end" in read && read.end ? read.end : this.missing.end(text);
    }
    const bars = (this.context.doc.devices ?? []).filter((device) => device.kind === "splice");
    const named = new RegExp(`terminal ${number}\\b`, "i");
    const bar = bars.find((device) => named.test(device.name ?? "")) ?? this.missing.device(`terminal ${number} bar`, "splice");
    return { at: bar.id, cavity: "1" };
  }

  after(): Graft {
    let doc = this.missing.added_to(this.context.doc);
    doc = with_added(doc, this.table.list, this.added);
    doc = with_added(doc, "wires", this.wires);
    const renames = this.table.list === "paths" ? this.changes.filter((one) => one.member === "id") : [];
    doc = with_cells(
      doc,
      this.table.list,
      this.changes.filter((one) => !renames.includes(one)),
    );
    return renames.reduce((now, one) => with_path_renamed(now, one.id, String(one.value)), doc);
  }
}

export function read_import(
  text: string,
  table: ImportTable,
  context: LoomContext,
  columns: readonly LoomColumn[],
  rows: readonly LoomRow[],
  choices: ImportChoices,
): Import {
  const clean = text.replace(/^\uFEFF/, "");
  const separator = separator_of(clean);
  const lines = cells_of(clean, separator)
    .map((cells, index) => ({ cells: cells.map((cell) => cell.trim()), line: index + 1 }))
    .filter(({ cells }) => cells.some((cell) => cell !== "") && !cells.every((cell) => /^[-=:| ]*$/.test(cell)));
  const has_head = choices.has_head ?? (lines[0] !== undefined && looks_like_head(table, columns, lines[0].cells));
  const heads = has_head ? (lines[0]?.cells ?? []) : [];
  const body = has_head ? lines.slice(1) : lines;
  const width = Math.max(0, ...lines.map(({ cells }) => cells.length));
  const taken = new Set<string>();
  const by_content = has_head
    ? []
    : meanings_by_content(
        table,
        columns,
        body.map(({ cells }) => cells),
        width,
      );
  const found = Array.from({ length: width }, (_, at): ImportColumn => {
    const head = heads[at] ?? "";
    const chosen = choices.meanings[at];
    const guess = has_head ? meaning_by_head(table, columns, head) : (by_content[at] ?? "");
    const meaning = chosen ?? (taken.has(guess) ? "" : guess);
    if (meaning) taken.add(meaning);
    return { head, meaning, guessed: chosen === undefined && !has_head, sample: body[0]?.cells[at] ?? "" };
  });
  const importer = new Importer(table, context, columns, rows, choices.make_missing);
  const results = body.map(({ cells, line }) => {
    const texts = new Map<string, string>();
    found.forEach((column, at) => {
      if (column.meaning) texts.set(column.meaning, with_unit(cells[at] ?? "", unit_in_head(column.head)));
    });
    return importer.row(line, cells, texts);
  });
  return { separator, has_head, columns: found, rows: results, made: importer.missing.texts(), after: importer.after() };
}

// The rows that could not be used, under their head, to be mended.
export function left_over(text: string, read: Import): string {
  const bad = new Set(read.rows.filter((row) => row.verdict === "unusable").map((row) => row.line));
  if (bad.size === 0) return "";
  const rows = cells_of(text.replace(/^\uFEFF/, ""), read.separator);
  const head = read.has_head ? [rows.find((cells) => cells.some((cell) => cell.trim() !== "")) ?? []] : [];
  const quoted = (cell: string) => (cell.includes(read.separator) || /["\n]/.test(cell) ? `"${cell.replace(/"/g, '""')}"` : cell);
  return [...head, ...rows.filter((_, index) => bad.has(index + 1))].map((cells) => cells.map(quoted).join(read.separator)).join("\n");
}
