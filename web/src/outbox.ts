// Readings on their way to the program. A reading is kept in this device (IndexedDB) from the moment it is put in
// until the program has said that it is on its disk; it is sent again until then, under the id it was born with, so
// that the program can tell a repeat from a new one.
//
// Model   each reading is "waiting" or "safe"; it leaves the store only when safe
// Needs   a Store (IndexedDB in the page) and a way to send one reading
// Fails   a reading that the program refuses for what it says (400, 404, 413) is marked "refused" and kept, for a
//         person to see; every other failure is tried again later
// Cost    one record a reading

import type { Reading } from "./api_types";

export type Fate = "waiting" | "safe" | "refused";

export interface Kept {
  reading: Reading;
  graft: string;
  fate: Fate;
  words: string; // why it was refused
}

export interface Store {
  put(kept: Kept): Promise<void>;
  remove(id: string): Promise<void>;
  all(): Promise<Kept[]>; // in the order they were put in
}

export type Sent = { fate: "safe" } | { fate: "again" } | { fate: "refused"; words: string };
export type Send = (kept: Kept) => Promise<Sent>;

export interface Outbox {
  put(graft: string, reading: Reading): Promise<void>; // resolves when kept; throws when the device cannot keep it
  flush(): Promise<void>; // sends what waits, oldest first, until one has to wait
  list(): Kept[]; // waiting and refused ones, and those made safe since the page was opened
}

export function make_outbox(store: Store, send: Send, changed: (list: Kept[]) => void = () => undefined): Promise<Outbox> {
  return store.all().then((before) => {
    const known = new Map<string, Kept>(before.map((kept) => [kept.reading.id, kept]));
    let flushing: Promise<void> | null = null;
    const list = () => [...known.values()];
    const set = (kept: Kept) => {
      known.set(kept.reading.id, kept);
      changed(list());
    };

    async function settle(kept: Kept): Promise<boolean> {
      const sent = await send(kept).catch((): Sent => ({ fate: "again" }));
      if (sent.fate === "again") return false;
      if (sent.fate === "safe") {
        set({ ...kept, fate: "safe" });
        await store.remove(kept.reading.id);
        return true;
      }
      const refused: Kept = { ...kept, fate: "refused", words: sent.words };
      set(refused);
      await store.put(refused);
      return true;
    }

    async function send_waiting(): Promise<void> {
      // Read anew each round: a reading may be put in while another is on its way.
      for (;;) {
        const next = list().find((kept) => kept.fate === "waiting");
        if (!next || !(await settle(next))) return;
      }
    }

    function flush(): Promise<void> {
      flushing ??= send_waiting().finally(() => {
        flushing = null;
      });
      return flushing;
    }

    async function put(graft: string, reading: Reading): Promise<void> {
      if (known.has(reading.id)) return;
      const kept: Kept = { graft, reading, fate: "waiting", words: "" };
      await store.put(kept);
      set(kept);
      void flush();
    }

    return { put, flush, list };
  });
}
