// Tables of text: cells separated by commas, semicolons, tabs or bars, with quotes where a cell has one of them.

// The cells of each line; a quoted cell may hold separators and line breaks.
export function cells_of(text: string, separator: string): string[][] {
  const rows: string[][] = [];
  let row: string[] = [];
  let cell = "";
  let quoted = false;
  const end_cell = () => {
    row.push(cell);
    cell = "";
  };
  const end_row = () => {
    end_cell();
    rows.push(row);
    row = [];
  };
  for (let at = 0; at < text.length; at += 1) {
    const sign = text[at];
    if (quoted) {
      if (sign === '"' && text[at + 1] === '"') {
        cell += '"';
        at += 1;
      } else if (sign === '"') quoted = false;
      else cell += sign;
    } else if (sign === '"' && cell === "" && closes(text, at, separator)) quoted = true;
    else if (sign === separator) end_cell();
    else if (sign === "\n") end_row();
    else if (sign !== "\r") cell += sign;
  }
  if (cell !== "" || row.length > 0) end_row();
  return rows;
}

// A quote opens a cell only if another one ends it: 3" alone in a cell is three inches.
function closes(text: string, at: number, separator: string): boolean {
  for (let end = text.indexOf('"', at + 1); end >= 0; end = text.indexOf('"', end + 1)) {
    const next = text[end + 1];
    if (next === '"') end += 1;
    else return next === undefined || next === separator || next === "\n" || next === "\r";
  }
  return false;
}

const quoted = (cell: string, separator: string): string =>
  cell.includes(separator) || /["\n\r]/.test(cell) ? `"${cell.replace(/"/g, '""')}"` : cell;

export const text_of_cells = (rows: readonly (readonly string[])[], separator: string): string =>
  rows.map((row) => row.map((cell) => quoted(cell, separator)).join(separator)).join("\n");

// The separator that most lines have.
export function separator_of(text: string): string {
  const outside_quotes = text.replace(/"[^"\n]*"/g, "");
  const lines = outside_quotes.split(/\r?\n/).filter((line) => line.trim() !== "");
  const score = (separator: string): number => lines.filter((line) => line.includes(separator)).length;
  const by_preference = ["\t", ";", "|", ","];
  return by_preference.reduce((best, one) => (score(one) > score(best) ? one : best), "\t");
}

// A leading sign of a formula must not start one when a spreadsheet opens the file.
export const safe_for_spreadsheet = (cell: string): string => (/^[=+@\t\r]|^-(?!\d|$)/.test(cell) ? `'${cell}` : cell);
