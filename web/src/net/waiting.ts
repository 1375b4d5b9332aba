// What was entered on this device and waits for the program: readings, ticks, photos, and edits of documents.

import { computed, effect, signal } from "@preact/signals";
import { by_graft } from "../model/waiting_text";
import type { NewEntry, Outbox } from "../outbox";
import { being_stored, stored_entries, the_outbox } from "../outbox_page";
import { connection } from "./events";
import { all_unsent } from "./unsent";

export { being_stored, stored_entries };

// False in a browser that stores nothing (private window). It still shows everything; the measuring screens say so.
export const can_store = signal(true);

void the_outbox().then((box) => {
  can_store.value = box !== null;
});

// Asked once: a browser may clear what a page stores when the device runs out of room, unless it agrees not to.
let asked_to_persist = false;

function ask_to_persist(): void {
  if (asked_to_persist) return;
  asked_to_persist = true;
  // Browsers have it only for pages that came over TLS or from this computer.
  void (navigator.storage as StorageManager | undefined)?.persist?.().catch(() => false);
}

// True once it is on this device's disk.
export async function keep_entry(entry: NewEntry, picture?: ArrayBuffer): Promise<boolean> {
  being_stored.value += 1;
  try {
    const box = await the_outbox();
    if (!box) return false;
    await box.put(entry, picture);
    ask_to_persist();
    return true;
  } catch {
    can_store.value = false;
    return false;
  } finally {
    being_stored.value -= 1;
  }
}

// Resolves when the program has answered, or after so many milliseconds.
export async function try_to_send(longest_ms: number): Promise<void> {
  const box = await the_outbox();
  if (!box) return;
  await Promise.race([box.flush(), new Promise((done) => window.setTimeout(done, longest_ms))]);
}

const with_box = async (work: (box: Outbox) => Promise<void>): Promise<void> => {
  const box = await the_outbox();
  if (box) await work(box);
};

export const send_now = (): Promise<void> => with_box((box) => box.flush(true));

// As soon as the link is back, not only at the next try.
effect(() => {
  if (connection.value === "connected") void send_now();
});

export const send_again = (id: string): Promise<void> => with_box((box) => box.again(id));
export const discard_entry = (id: string): Promise<void> => with_box((box) => box.discard(id));
export const move_entries = (from: string, to: string): Promise<void> => with_box((box) => box.move(from, to));
export const picture_of = async (id: string): Promise<ArrayBuffer | null> => (await the_outbox())?.picture(id) ?? null;

// One for each graft for which something waits.
export const waiting = computed(() => by_graft(stored_entries.value, all_unsent()));
export const refused = computed(() => stored_entries.value.filter((stored) => stored.state === "refused"));
export const waiting_for = (graft: string) => waiting.value.find((one) => one.graft === graft) ?? null;
