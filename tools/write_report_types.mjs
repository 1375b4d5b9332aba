#!/usr/bin/env node
// Writes the page's types from schema/: web/src/document_types.ts from the graft document's schema, web/src/report_types.ts
// from all others. Called by tools/build_web.
//
// Model   a definition "wire_design" is the type WireDesign, a file the type of its title ("Compare report":
//         CompareReport), an enum of its own also a list (verdict: verdicts). Descriptions become comments.
// Fails   with an error for a schema that it cannot express and for two types of one name, so that nothing is dropped silently
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const root = join(dirname(fileURLToPath(import.meta.url)), "..");
const ending = ".schema.json";
const document_file = "graft";
const schemas = new Map(
  readdirSync(join(root, "schema"))
    .filter((name) => name.endsWith(ending))
    .sort()
    .map((name) => [name.slice(0, -ending.length), JSON.parse(readFileSync(join(root, "schema", name), "utf8"))]),
);

const type_name = (words) =>
  words
    .split(/[ _-]/)
    .map((word) => word[0].toUpperCase() + word.slice(1))
    .join("");
const list_name = (key) => (key.endsWith("y") ? `${key.slice(0, -1)}ies` : key.endsWith("s") ? `${key}es` : `${key}s`);
const comment = (schema, indent) => (schema.description ? `${indent}/** ${schema.description} */\n` : "");
const in_brackets = (type) => (/ \| |\n/.test(type) && !type.startsWith("{") ? `(${type})` : type);

// The file and the type that a reference stands for.
function target(reference, file) {
  const [other, key] = reference.split("#/$defs/");
  const found = other === "" ? file : other.slice(0, -ending.length);
  const schema = key === undefined ? schemas.get(found) : schemas.get(found)?.$defs?.[key];
  if (!schema) throw new Error(`${file}: ${reference} refers to nothing`);
  return { file: found, name: type_name(key ?? schema.title) };
}

// The types of one output file, and the names it imports from the other.
class Writer {
  constructor(files) {
    this.files = files;
    this.names = new Set();
    this.imports = new Set();
    this.parts = [];
  }

  type_of(schema, file, indent) {
    const inner = (part) => this.type_of(part, file, indent);
    if (schema.$ref) return this.refer(schema.$ref, file);
    if ("const" in schema) return JSON.stringify(schema.const);
    if (schema.enum) return schema.enum.map((value) => JSON.stringify(value)).join(" | ");
    if (schema.anyOf) return schema.anyOf.map(inner).join(" | ");
    if (Array.isArray(schema.type)) return schema.type.map((type) => inner({ ...schema, type })).join(" | ");
    switch (schema.type) {
      case "string":
      case "boolean":
      case "null":
        return schema.type;
      case "number":
      case "integer":
        return "number";
      case "array":
        return `${in_brackets(inner(schema.items))}[]`;
      case "object":
        return schema.properties ? this.fields(schema, file, indent) : `Record<string, ${inner(schema.additionalProperties)}>`;
    }
    if (Object.keys(schema).every((key) => key === "description")) return "Json";
    throw new Error(`${file}: no type for ${JSON.stringify(schema)}`);
  }

  refer(reference, file) {
    const { file: other, name } = target(reference, file);
    if (!this.files.includes(other)) this.imports.add(name);
    return name;
  }

  fields(schema, file, indent) {
    const required = new Set(schema.required);
    const deeper = `${indent}  `;
    const lines = Object.entries(schema.properties).map(([name, field]) => {
      const mark = required.has(name) ? "" : "?";
      return `${comment(field, deeper)}${deeper}${name}${mark}: ${this.type_of(field, file, deeper)};\n`;
    });
    return `{\n${lines.join("")}${indent}}`;
  }

  write_type(name, key, schema, file) {
    if (this.names.has(name)) throw new Error(`${file}: a second type ${name}`);
    this.names.add(name);
    const head = comment(schema, "");
    if (schema.enum) {
      const list = list_name(key);
      const values = schema.enum.map((value) => JSON.stringify(value)).join(", ");
      this.parts.push(`${head}export const ${list} = [${values}] as const;\nexport type ${name} = (typeof ${list})[number];\n`);
    } else if (schema.type === "object" && schema.properties) {
      this.parts.push(`${head}export interface ${name} ${this.fields(schema, file, "")}\n`);
    } else {
      this.parts.push(`${head}export type ${name} = ${this.type_of(schema, file, "")};\n`);
    }
  }

  text() {
    for (const file of this.files) {
      const { $defs = {}, ...whole } = schemas.get(file);
      for (const [key, schema] of Object.entries($defs)) this.write_type(type_name(key), key, schema, file);
      // A file of nothing but definitions has no type of its own.
      if (whole.type) this.write_type(type_name(whole.title), file, whole, file);
    }
    const body = this.parts.join("\n");
    const json = /\bJson\b/.test(body)
      ? "export type Json = string | number | boolean | null | Json[] | { [name: string]: Json };\n\n"
      : "";
    const imports = this.imports.size > 0 ? `import type { ${[...this.imports].sort().join(", ")} } from "./document_types";\n\n` : "";
    return `// Written by tools/write_report_types.mjs from schema/. Do not edit.\n\n${imports}${json}${body}`;
  }
}

const documents = new Writer([document_file]);
const reports = new Writer([...schemas.keys()].filter((file) => file !== document_file));
const outputs = { "document_types.ts": documents.text(), "report_types.ts": reports.text() };
for (const name of documents.names) if (reports.names.has(name)) throw new Error(`a second type ${name}`);
for (const [name, text] of Object.entries(outputs)) writeFileSync(join(root, "web/src", name), text);
