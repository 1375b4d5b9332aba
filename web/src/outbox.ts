// What a person enters while measuring (readings, ticks, photos) on its way to the program. An entry is stored in this
// device (IndexedDB) from the moment it is made until the program has answered that it is on its disk. Until then it is
// sent again under the same id, so that the program can tell a repeat from a new one.
//
// Model   one queue for each graft, in the order of entry: a graft that cannot take its entries holds up no other.
//         Each entry is "pending", "saved" or "refused"; a saved one leaves the store, a refused one stays for a person
// Needs   a Store (IndexedDB in the page) and a way to send one entry
// Fails   an entry that the program will never take is marked "refused" and does not hold up those behind it; after every
//         other failure it is sent again later, and those of its graft wait behind it
// Cost    one record an entry, and the bytes of a photo; the bytes are read when it is sent

import type { MarkedReading } from "./model/reading";

export type SendState = "pending" | "saved" | "refused";

export interface ReadingContent {
  kind: "reading";
  reading: MarkedReading;
}

export interface TickContent {
  kind: "tick";
  subject: string;
  done: boolean;
}

// The picture itself is stored beside it.
export interface PhotoContent {
  kind: "photo";
  subject: string;
  name: string; // of the file
  mime: string;
  bytes: number;
}

export type Content = ReadingContent | TickContent | PhotoContent;

export interface Stored {
  id: string; // a reading's is the reading's own
  graft: string;
  author: string;
  at: string; // by this device's clock, ISO 8601; empty if it was stored by an earlier version of the page
  label: string; // what it is about, for people: the text of the step; may be empty
  state: SendState;
  reason: string; // why it was refused, or why its graft does not take it now
  content: Content;
}

export interface Store {
  put(stored: Stored, picture?: ArrayBuffer): Promise<void>;
  remove(id: string): Promise<void>;
  has(id: string): Promise<boolean>;
  all(): Promise<Stored[]>; // in the order they were entered
  picture(id: string): Promise<ArrayBuffer | null>;
}

// `answered`: the program is there, but this graft cannot take anything now. It is asked again less often.
export type SendResult =
  | { state: "saved" }
  | { state: "pending"; answered: boolean; reason: string }
  | { state: "refused"; reason: string };
export type Send = (stored: Stored, picture: ArrayBuffer | null) => Promise<SendResult>;

export type NewEntry = Pick<Stored, "id" | "graft" | "author" | "content"> & { at?: string; label?: string };

export interface Outbox {
  put(entry: NewEntry, picture?: ArrayBuffer): Promise<void>; // resolves when stored; throws if the device cannot store it
  flush(at_once?: boolean): Promise<void>; // sends what is pending, each graft's in its order, until one cannot be sent
  list(): Stored[]; // pending and refused ones, and those saved since the page was opened
  again(id: string): Promise<void>; // a refused one is pending again
  discard(id: string): Promise<void>;
  move(from: string, to: string): Promise<void>; // what a graft has not taken becomes another graft's
  picture(id: string): Promise<ArrayBuffer | null>;
}

const pause_ms = 30_000; // for a graft that answered, but cannot take anything now

export async function create_outbox(store: Store, send: Send, changed: (list: Stored[]) => void = () => undefined): Promise<Outbox> {
  const known = new Map((await store.all()).map((stored) => [stored.id, stored]));
  const sending = new Map<string, Promise<void>>(); // by graft
  const not_before = new Map<string, number>(); // by graft
  const untried = new Set<string>(); // entered on this page and not sent before: no other page has seen them
  const list = () => [...known.values()];
  const set = (stored: Stored) => {
    known.set(stored.id, stored);
    changed(list());
  };
  const drop = (id: string) => {
    if (known.delete(id)) changed(list());
  };

  // False if it has to wait.
  async function send_one(stored: Stored): Promise<boolean> {
    // Another page of this device may have sent it meanwhile.
    if (!untried.delete(stored.id) && !(await store.has(stored.id))) {
      drop(stored.id);
      return true;
    }
    const picture = stored.content.kind === "photo" ? await store.picture(stored.id) : null;
    const result = await send(stored, picture).catch((): SendResult => ({ state: "pending", answered: false, reason: "" }));
    if (known.get(stored.id) !== stored) return true; // a person discarded it meanwhile, or sent it to another job
    if (result.state === "pending") {
      if (result.answered) not_before.set(stored.graft, Date.now() + pause_ms);
      if (result.reason !== stored.reason) set({ ...stored, reason: result.reason });
      return false;
    }
    if (result.state === "saved") {
      set({ ...stored, state: "saved", reason: "" });
      await store.remove(stored.id);
      return true;
    }
    const refused: Stored = { ...stored, state: "refused", reason: result.reason };
    set(refused);
    await store.put(refused);
    return true;
  }

  async function send_graft(graft: string): Promise<void> {
    // The list is read again each time: something may be entered while another entry is being sent.
    for (;;) {
      const next = list().find((stored) => stored.graft === graft && stored.state === "pending");
      if (!next || !(await send_one(next))) return;
    }
  }

  // What other pages of this device have stored, sent or discarded.
  async function look_again(): Promise<void> {
    const before = new Set(known.keys());
    const rows = await store.all();
    const ids = new Set(rows.map((row) => row.id));
    const gone = [...before].filter((id) => !ids.has(id) && known.get(id)?.state !== "saved");
    const fresh = rows.filter((row) =>
      known.has(row.id) ? known.get(row.id)?.state !== row.state && !sending.has(row.graft) : !before.has(row.id),
    );
    // One that was saved here while the rows were read is not taken up again.
    const news = fresh.filter((row) => known.get(row.id)?.state !== "saved");
    if (gone.length + news.length === 0) return;
    for (const id of gone) known.delete(id);
    for (const row of news) known.set(row.id, row);
    changed(list());
  }

  async function send_all(): Promise<void> {
    const grafts = new Set(list().flatMap((stored) => (stored.state === "pending" ? [stored.graft] : [])));
    const now = Date.now();
    const sent = [...grafts].map((graft) => {
      const before = sending.get(graft);
      if (before || (not_before.get(graft) ?? 0) > now) return before;
      const work = send_graft(graft).finally(() => sending.delete(graft));
      sending.set(graft, work);
      return work;
    });
    await Promise.all(sent);
  }

  async function flush(at_once = false): Promise<void> {
    await look_again().catch(() => undefined);
    if (at_once) not_before.clear();
    await send_all();
  }

  async function put(entry: NewEntry, picture?: ArrayBuffer): Promise<void> {
    if (known.has(entry.id)) return;
    const stored: Stored = { at: new Date().toISOString(), label: "", ...entry, state: "pending", reason: "" };
    await store.put(stored, picture);
    untried.add(stored.id);
    set(stored);
    void send_all();
  }

  async function again(id: string): Promise<void> {
    const stored = known.get(id);
    if (stored?.state !== "refused") return;
    const pending: Stored = { ...stored, state: "pending", reason: "" };
    await store.put(pending);
    set(pending);
    void flush(true);
  }

  async function discard(id: string): Promise<void> {
    await store.remove(id);
    drop(id);
  }

  async function move(from: string, to: string): Promise<void> {
    for (const stored of list().filter(({ graft, state }) => graft === from && state !== "saved")) {
      const moved: Stored = { ...stored, graft: to, state: "pending", reason: "" };
      await store.put(moved);
      set(moved);
    }
    void flush(true);
  }

  return { put, flush, list, again, discard, move, picture: (id) => store.picture(id) };
}
