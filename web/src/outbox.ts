// Readings on their way to the program. A reading is stored in this device (IndexedDB) from the moment it is entered
// until the program has answered that it is on its disk. Until then it is sent again under the same id, so that the
// program can tell a repeat from a new reading.
//
// Model   each reading is "pending", "saved" or "refused"; only a saved one leaves the store
// Needs   a Store (IndexedDB in the page) and a way to send one reading
// Fails   a reading that the program refuses for its content (400, 404, 413) is marked "refused" and kept for a person
//         to see; after every other failure it is sent again later
// Cost    one record a reading

import type { MarkedReading } from "./model/reading";

export type SendState = "pending" | "saved" | "refused";

export interface StoredReading {
  reading: MarkedReading;
  graft: string;
  state: SendState;
  reason: string; // why it was refused
}

export interface Store {
  put(stored: StoredReading): Promise<void>;
  remove(id: string): Promise<void>;
  all(): Promise<StoredReading[]>; // in the order they were entered
}

export type SendResult = { state: "saved" } | { state: "pending" } | { state: "refused"; reason: string };
export type Send = (stored: StoredReading) => Promise<SendResult>;

export interface Outbox {
  put(graft: string, reading: MarkedReading): Promise<void>; // resolves when stored; throws if the device cannot store it
  flush(): Promise<void>; // sends the pending ones, oldest first, until one cannot be sent
  list(): StoredReading[]; // pending and refused ones, and those saved since the page was opened
}

export async function create_outbox(store: Store, send: Send, changed: (list: StoredReading[]) => void = () => undefined): Promise<Outbox> {
  const known = new Map((await store.all()).map((stored) => [stored.reading.id, stored]));
  let flushing: Promise<void> | null = null;
  const list = () => [...known.values()];
  const set = (stored: StoredReading) => {
    known.set(stored.reading.id, stored);
    changed(list());
  };

  // False if it has to wait.
  async function send_one(stored: StoredReading): Promise<boolean> {
    const result = await send(stored).catch((): SendResult => ({ state: "pending" }));
    if (result.state === "pending") return false;
    if (result.state === "saved") {
      set({ ...stored, state: "saved" });
      await store.remove(stored.reading.id);
      return true;
    }
    const refused: StoredReading = { ...stored, state: "refused", reason: result.reason };
    set(refused);
    await store.put(refused);
    return true;
  }

  async function send_pending(): Promise<void> {
    // The list is read again each time: a reading may be entered while another is being sent.
    for (;;) {
      const next = list().find((stored) => stored.state === "pending");
      if (!next || !(await send_one(next))) return;
    }
  }

  function flush(): Promise<void> {
    flushing ??= send_pending().finally(() => {
      flushing = null;
    });
    return flushing;
  }

  async function put(graft: string, reading: MarkedReading): Promise<void> {
    if (known.has(reading.id)) return;
    const stored: StoredReading = { graft, reading, state: "pending", reason: "" };
    await store.put(stored);
    set(stored);
    void flush();
  }

  return { put, flush, list };
}
