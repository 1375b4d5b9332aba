// The file that carries what waits on one device, or under one address, to another: JSON that a person can read.

import type { PatchStep } from "../api_types";
import type { Content, Stored } from "../outbox";
import { picture_kind } from "./picture_kind";
import { entry_text } from "./waiting_text";

export const file_format = "loomgraft-waiting";

export interface FileEntry {
  what: string; // for people only
  kind: Content["kind"];
  id: string;
  graft: string;
  author: string;
  at: string;
  label: string;
  refused?: string; // why the program did not take it
  reading?: { test: string; value: number; unit: string; practice?: boolean; in_band_only?: boolean };
  tick?: { subject: string; done: boolean };
  photo?: { subject: string; name: string; mime: string; base64: string };
}

export interface FileEdit {
  graft: string;
  text: string;
  patch: PatchStep[];
}

export interface WaitingFile {
  format: typeof file_format;
  version: 1;
  note: string;
  from: string; // the address under which it waited
  saved: string;
  entries: FileEntry[];
  edits: FileEdit[];
}

const note =
  "Readings, ticks, photos and edits that a device entered and the workbench does not have yet. Open the workbench at its present address, " +
  "then Settings, “What waits on this device”, “Bring a file in”. Each keeps its id, so nothing is stored twice.";

const step = 0x8000; // characters that one call of fromCharCode takes

export function base64_of(bytes: Uint8Array): string {
  let text = "";
  for (let at = 0; at < bytes.length; at += step) text += String.fromCharCode(...bytes.subarray(at, at + step));
  return btoa(text);
}

export function bytes_of(base64: string): Uint8Array<ArrayBuffer> | null {
  try {
    return Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
  } catch {
    return null;
  }
}

export function file_entry(stored: Stored, picture: ArrayBuffer | null): FileEntry {
  const { id, graft, author, at, label, content } = stored;
  const entry: FileEntry = { what: entry_text(stored), kind: content.kind, id, graft, author, at, label };
  if (stored.state === "refused") entry.refused = stored.reason;
  if (content.kind === "reading") {
    const { test, value, unit, practice = false, in_band_only = false } = content.reading;
    entry.reading = { test, value, unit, practice, in_band_only };
  } else if (content.kind === "tick") entry.tick = { subject: content.subject, done: content.done };
  else {
    const base64 = base64_of(new Uint8Array(picture ?? new ArrayBuffer(0)));
    entry.photo = { subject: content.subject, name: content.name, mime: content.mime, base64 };
  }
  return entry;
}

export function waiting_file(entries: FileEntry[], edits: FileEdit[], from: string): WaitingFile {
  return { format: file_format, version: 1, note, from, saved: new Date().toISOString(), entries, edits };
}

// ---- and back

export interface ReadEntry {
  stored: Omit<Stored, "state" | "reason">;
  picture?: ArrayBuffer;
}

export interface ReadFile {
  entries: ReadEntry[];
  edits: FileEdit[];
  unusable: number; // how many entries say too little to be used
}

type Json = Record<string, unknown>;
const object_of = (value: unknown): Json => (value !== null && typeof value === "object" ? (value as Json) : {});
const text_of = (value: unknown): string => (typeof value === "string" ? value : "");

function content_of(entry: Json): { content: Content; picture?: ArrayBuffer } | null {
  const reading = object_of(entry.reading);
  const tick = object_of(entry.tick);
  const photo = object_of(entry.photo);
  const id = text_of(entry.id);
  if (entry.kind === "reading") {
    const { value } = reading;
    const [test, unit] = [text_of(reading.test), text_of(reading.unit)];
    if (typeof value !== "number" || !Number.isFinite(value) || test === "" || unit === "") return null;
    const marks = { practice: reading.practice === true, in_band_only: reading.in_band_only === true };
    return { content: { kind: "reading", reading: { id, test, value, unit, author: text_of(entry.author), ...marks } } };
  }
  if (entry.kind === "tick") {
    const subject = text_of(tick.subject);
    return subject === "" || typeof tick.done !== "boolean" ? null : { content: { kind: "tick", subject, done: tick.done } };
  }
  const bytes = bytes_of(text_of(photo.base64));
  const subject = text_of(photo.subject);
  if (entry.kind !== "photo" || !bytes || bytes.length === 0 || subject === "") return null;
  const content = { kind: "photo", subject, name: text_of(photo.name), mime: picture_kind(bytes), bytes: bytes.length } as const;
  return { content, picture: bytes.buffer };
}

function entry_of(value: unknown): ReadEntry | null {
  const entry = object_of(value);
  const [id, graft] = [text_of(entry.id), text_of(entry.graft)];
  const read = content_of(entry);
  if (id === "" || graft === "" || !read) return null;
  const [author, at, label] = [text_of(entry.author), text_of(entry.at), text_of(entry.label)];
  return { ...read, stored: { id, graft, author, at, label, content: read.content } };
}

function edit_of(value: unknown): FileEdit | null {
  const { graft, text, patch } = object_of(value);
  if (typeof graft !== "string" || typeof text !== "string" || !Array.isArray(patch)) return null;
  const steps = patch.every((one) => typeof object_of(one).op === "string" && typeof object_of(one).path === "string");
  return steps ? { graft, text, patch: patch as PatchStep[] } : null;
}

// What the text holds, or why it is no such file.
export function read_waiting_file(text: string, name: string): ReadFile | string {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return `${name} cannot be read: it is no JSON. Choose the file that “Save to a file” made.`;
  }
  const file = object_of(value);
  if (file.format !== file_format || !Array.isArray(file.entries)) {
    return `${name} does not hold what waited on a device. Choose the file that “Save to a file” made.`;
  }
  if (file.version !== 1) return `${name} was made by a newer version of this page. Start the newer program and bring it in there.`;
  const edits: unknown[] = Array.isArray(file.edits) ? file.edits : [];
  const entries = file.entries.map(entry_of);
  const read_edits = edits.map(edit_of);
  return {
    entries: entries.filter((one) => one !== null),
    edits: read_edits.filter((one) => one !== null),
    unusable: [...entries, ...read_edits].filter((one) => one === null).length,
  };
}
