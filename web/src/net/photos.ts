// Photos of the open graft: those that the program has, and those that this device has not sent yet.

import { useEffect, useState } from "preact/hooks";
import type { Photo } from "../api_types";
import { show_message } from "../message";
import { picture_kind, picture_problem } from "../model/picture_kind";
import { new_reading_id } from "../model/reading";
import type { Stored } from "../outbox";
import { author } from "../settings";
import { connection, photo_count } from "./events";
import { graft } from "./graft";
import { ask, graft_path } from "./request";
import { keep_entry, stored_entries } from "./waiting";

export interface Photos {
  photos: Photo[]; // the program's
  here: Stored[]; // this device's, which the program does not have yet
  again: () => void;
}

export function use_photos(subject: string): Photos {
  const name = graft.value?.name ?? "";
  const [photos, set_photos] = useState<Photo[]>([]);
  const read = () => {
    if (!name || link === "connecting") return;
    void ask<{ photos: Photo[] }>(graft_path(name, "/photos")).then((answer) => {
      if (answer.ok) set_photos(answer.value.photos.filter((photo) => photo.subject === subject));
    });
  };
  const own = stored_entries.value.filter(
    ({ graft, content }) => graft === name && content.kind === "photo" && content.subject === subject,
  );
  const saved = own.filter(({ state }) => state === "saved").length;
  const count = photo_count.value;
  const link = connection.value;
  useEffect(read, [name, subject, count, saved, link]);
  const ids = new Set(photos.map((photo) => photo.id));
  return { photos, here: own.filter(({ id, state }) => state !== "refused" && !ids.has(id)), again: read };
}

// Stored on this device before this resolves; sent as soon as the program can be reached. `about`: what is on it, for people.
export async function add_photo(subject: string, file: File, about: string): Promise<void> {
  const name = graft.value?.name;
  if (!name) return;
  const picture = await file.arrayBuffer();
  const bytes = new Uint8Array(picture);
  const problem = picture_problem(file.name, bytes);
  if (problem) {
    show_message(problem, "error");
    return;
  }
  const id = new_reading_id();
  const mime = picture_kind(bytes);
  const content = { kind: "photo", subject, name: file.name, mime, bytes: bytes.length } as const;
  if (await keep_entry({ id, graft: name, author: author.value, label: about, content }, picture)) return;
  const query = new URLSearchParams({ id, subject, name: file.name });
  const answer = await ask(graft_path(name, `/photos?${query.toString()}`), { method: "POST", raw: new Blob([picture], { type: mime }) });
  if (answer.ok) return;
  show_message(`The photo was not saved. ${answer.problems[0]?.message ?? ""} This browser cannot store it either.`, "error");
}
