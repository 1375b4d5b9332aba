// Takes what waits on this device out to a file, and brings such a file in.

import { type FileEntry, file_entry, type ReadFile, waiting_file } from "../model/waiting_file";
import type { Stored } from "../outbox";
import { download } from "../parts/download";
import { all_unsent, keep_unsent, unsent_edits } from "./unsent";
import { keep_entry, picture_of, send_now, stored_entries } from "./waiting";

const in_queue = (): Stored[] => stored_entries.value.filter((stored) => stored.state !== "saved");

const unsent_of_all = () => [...all_unsent().keys()].flatMap((graft) => unsent_edits(graft).map((edit) => ({ graft, ...edit })));

async function text_of_file(with_photos: boolean): Promise<string> {
  const entries: FileEntry[] = [];
  // One after the other: all photos at once may be more than a phone has memory for.
  for (const stored of in_queue()) {
    if (stored.content.kind !== "photo") entries.push(file_entry(stored, null));
    else if (with_photos) entries.push(file_entry(stored, await picture_of(stored.id)));
  }
  return JSON.stringify(waiting_file(entries, unsent_of_all(), location.origin), null, 1);
}

export async function save_waiting(): Promise<void> {
  const day = new Date().toISOString().slice(0, 10);
  download(`loomgraft-waiting-${day}.json`, "application/json", await text_of_file(true));
}

// For a browser that saves no files: to be copied. Photos are left out.
export const waiting_as_text = (): Promise<string> => text_of_file(false);

// `job_of`: the job here for each graft of the file; what has none is left out. Returns how many were taken in.
export async function take_in(file: ReadFile, job_of: ReadonlyMap<string, string>): Promise<number> {
  let count = 0;
  for (const { stored, picture } of file.entries) {
    const graft = job_of.get(stored.graft);
    if (graft && (await keep_entry({ ...stored, graft }, picture))) count += 1;
  }
  for (const { graft: of_file, ...edit } of file.edits) {
    const graft = job_of.get(of_file);
    const there = graft && unsent_edits(graft).some((one) => JSON.stringify(one.patch) === JSON.stringify(edit.patch));
    if (!graft || there) continue;
    keep_unsent(graft, edit);
    count += 1;
  }
  void send_now();
  return count;
}
