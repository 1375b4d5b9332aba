// What the program sends and takes.

export * from "./document_types";
export * from "./report_types";
