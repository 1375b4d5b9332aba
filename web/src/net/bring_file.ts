// A document that was exported earlier, or written by hand, becomes a job of this folder; or replaces the open one.

import type { Graft, Imported } from "../api_types";
import { ask_first } from "../ask_first";
import { drop_drafts } from "../drafts";
import { show_message } from "../message";
import { candidates, found_module } from "../model/document";
import { name_from } from "../model/graft_name";
import { count_of, counts_text } from "../model/waiting_text";
import { go, route_to } from "../route";
import { post } from "./edit";
import { create_graft, graft, if_match, load_graft } from "./graft";
import { say_refusal } from "./new_job";
import { ask, graft_path, refusal } from "./request";
import { waiting_for } from "./waiting";

type Document = Partial<Graft> & Record<string, unknown>;

// The document, or why the file cannot be one.
export async function document_of_file(file: File): Promise<Document | string> {
  if (/\.graft$/i.test(file.name)) return `${file.name} is a job already: copy it into the folder by hand, then look again.`;
  let value: unknown;
  try {
    value = JSON.parse(await file.text());
  } catch {
    return `${file.name} is not JSON. Export the document from the job (“Job”, “Export the document”), or add a pin table under “New job”.`;
  }
  if (value === null || typeof value !== "object" || (value as Document).format !== "loomgraft") {
    return `${file.name} is no document of Loomgraft: it must have "format": "loomgraft". A pin table belongs under “New job”.`;
  }
  return value as Document;
}

export async function bring_document(file: File, taken: readonly string[]): Promise<void> {
  const brought = await document_of_file(file);
  if (typeof brought === "string") {
    show_message(brought, "error");
    return;
  }
  const title = brought.title?.trim() || file.name.replace(/\.[^.]*$/, "");
  const name = name_from(title, taken);
  const created = await create_graft(name, title, false);
  if (!created.ok) {
    say_refusal(created);
    return;
  }
  drop_drafts(name);
  const body = { ...brought, title };
  const answer = await ask<Imported>(graft_path(name, "/import"), { method: "POST", body, headers: if_match(created.value) });
  if (!answer.ok) {
    const [problem] = answer.problems;
    const text = `The file was not used: ${problem?.message ?? ""} ${problem?.remedy ?? ""} The job ${name} was created and is empty.`;
    say_refusal(refusal(text, ""));
    return;
  }
  await load_graft(name);
  const doc = graft.value?.doc;
  const comparable = doc && found_module(doc) && candidates(doc).length > 0;
  go(route_to(name, comparable ? "compare" : "gather"));
}

// Undo brings back what was there.
export async function replace_document(file: File): Promise<void> {
  const brought = await document_of_file(file);
  if (typeof brought === "string") {
    show_message(brought, "error");
    return;
  }
  const waits = graft.value && waiting_for(graft.value.name);
  if (waits) {
    const text = [
      `${counts_text(waits)} for this job still ${count_of(waits) === 1 ? "waits" : "wait"} on this device. What waits is sent to it afterwards all the same: it belongs to the tests of the document that is there now.`,
      "What waits on other devices is not known here.",
    ];
    if (!(await ask_first("Replace the document?", text, "Bring the document in"))) return;
  }
  const done = await post<Imported>("the document from the file", "/import", brought);
  if (!done) return;
  const wrong = done.problems.length;
  const problems = wrong === 0 ? "" : ` ${wrong} ${wrong === 1 ? "thing" : "things"} in it need a look.`;
  show_message(`The document of this job is now that of ${file.name}.${problems} Undo brings back the earlier one.`);
}
