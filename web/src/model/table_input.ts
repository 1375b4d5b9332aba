// A table to be read: pasted text, or the bytes of a file as they are (the program finds out their encoding).

import type { ColumnRole, PinClass } from "../api_types";

export interface TableInput {
  name: string;
  text?: string;
  base64?: string;
  colour_codes?: Record<string, string>; // what its colour letters and types mean, as a person said
  types?: Record<string, PinClass>;
}

export const with_meaning = <Input extends Pick<TableInput, "colour_codes" | "types">>(
  input: Input,
  { colour_codes, types }: Pick<TableInput, "colour_codes" | "types">,
): Input => ({
  ...input,
  colour_codes: { ...input.colour_codes, ...colour_codes },
  types: { ...input.types, ...types },
});

// What a person may choose; a file that is dropped can be of any kind, and the program says what it cannot read.
export const table_files = ".xlsx,.xlsm,.ods,.fods,.pdf,.csv,.tsv,.txt,.md,.html,.htm,.yaml,.yml,.json,text/*";

const most_bytes = 16 * 1024 * 1024;

function base64_of(bytes: Uint8Array): string {
  const chunk = 0x8000;
  let binary = "";
  for (let at = 0; at < bytes.length; at += chunk) binary += String.fromCharCode(...bytes.subarray(at, at + chunk));
  return btoa(binary);
}

// The input, or why the file cannot be one.
export async function table_input_of_file(file: File): Promise<TableInput | string> {
  if (file.size > most_bytes) return `${file.name} is larger than ${most_bytes / 1024 / 1024} MB. Cut the table out of it first.`;
  return { name: file.name, base64: base64_of(new Uint8Array(await file.arrayBuffer())) };
}

export const role_choices: readonly (readonly [ColumnRole, string])[] = [
  ["cavity", "cavity"],
  ["connector", "connector"],
  ["signal", "signal or function"],
  ["colour", "wire colour"],
  ["class", "electrical type"],
  ["far_end", "goes to"],
  ["note", "note"],
  ["ignore", "ignore"],
];

// The role as the list offers it: the program has finer names for some.
export function role_shown(role: ColumnRole): ColumnRole {
  if (role === "direction" || role === "activation") return "class";
  if (role === "description" || role === "label") return "signal";
  return role_choices.some(([name]) => name === role) ? role : "ignore";
}
