// What the program sends and takes. The types come from schema/; tools/write_report_types.mjs writes them before each build.

import type { Tags } from "./document_types";

export * from "./document_types";
export * from "./report_types";

export const tag_names = [
  "generation",
  "diagnostics",
  "years",
  "market",
  "transmission",
  "board",
] as const satisfies readonly (keyof Tags)[];
export type TagName = keyof Tags;
