// Where entries wait on this device: IndexedDB, one record an entry, the pictures beside them.

import type { Reading } from "./api_types";
import { with_marks } from "./model/reading";
import type { Store, Stored } from "./outbox";

const entries = "entries";
const pictures = "pictures";
const no_room = "this device cannot store what is entered";

function result_of<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error ?? new Error(no_room));
  });
}

function finished(transaction: IDBTransaction): Promise<void> {
  return new Promise((done, failed) => {
    transaction.oncomplete = () => done();
    transaction.onabort = () => failed(transaction.error ?? new Error(no_room));
  });
}

// As earlier versions of this page stored a reading, in a database of its own. Phones may still hold such records.
interface OldRecord {
  reading: Reading;
  graft: string;
  state?: "pending" | "saved" | "refused";
  reason?: string;
  fate?: "waiting" | "safe" | "refused";
  words?: string;
}

function of_old_record(record: OldRecord): Stored {
  const refused = record.state === "refused" || record.fate === "refused";
  const reading = with_marks(record.reading);
  return {
    id: reading.id,
    graft: record.graft,
    author: reading.author ?? "",
    at: "",
    label: "",
    state: refused ? "refused" : "pending",
    reason: record.reason ?? record.words ?? "",
    content: { kind: "reading", reading },
  };
}

// Null if there is none; opening it must not create it.
async function open_old(name: string): Promise<IDBDatabase | null> {
  const request = indexedDB.open(name);
  request.onupgradeneeded = () => request.transaction?.abort();
  return await result_of(request).catch(() => null);
}

const old_table = "readings";

async function take_over_old(name: string, store: Store): Promise<void> {
  const database = await open_old(name);
  if (!database?.objectStoreNames.contains(old_table)) {
    database?.close();
    return;
  }
  const rows = await result_of<OldRecord[]>(database.transaction(old_table).objectStore(old_table).getAll());
  for (const row of rows) {
    const stored = of_old_record(row);
    if (!(await store.has(stored.id))) await store.put(stored);
    // Only now that it is stored anew.
    const transaction = database.transaction(old_table, "readwrite");
    const key = await result_of(transaction.objectStore(old_table).index("id").getKey(stored.id));
    if (key !== undefined) transaction.objectStore(old_table).delete(key);
    await finished(transaction);
  }
  database.close();
}

const old_name = "loomgraft-outbox";

export async function open_store(name = "loomgraft-waiting"): Promise<Store> {
  const request = indexedDB.open(name, 1);
  request.onupgradeneeded = () => {
    request.result.createObjectStore(entries, { autoIncrement: true }).createIndex("id", "id", { unique: true });
    request.result.createObjectStore(pictures);
  };
  const database = await result_of(request);
  const key_of = (id: string): Promise<IDBValidKey | undefined> =>
    result_of(database.transaction(entries).objectStore(entries).index("id").getKey(id));

  const store: Store = {
    async put(stored, picture) {
      const key = await key_of(stored.id);
      // "strict": the browser answers only when the record is on the device's disk.
      const transaction = database.transaction([entries, pictures], "readwrite", { durability: "strict" });
      if (key === undefined) transaction.objectStore(entries).add(stored);
      else transaction.objectStore(entries).put(stored, key);
      if (picture) transaction.objectStore(pictures).put(picture, stored.id);
      await finished(transaction);
    },
    async remove(id) {
      const key = await key_of(id);
      if (key === undefined) return;
      const transaction = database.transaction([entries, pictures], "readwrite");
      transaction.objectStore(entries).delete(key);
      transaction.objectStore(pictures).delete(id);
      await finished(transaction);
    },
    async has(id) {
      return (await key_of(id)) !== undefined;
    },
    all() {
      return result_of<Stored[]>(database.transaction(entries).objectStore(entries).getAll());
    },
    async picture(id) {
      return (await result_of<ArrayBuffer | undefined>(database.transaction(pictures).objectStore(pictures).get(id))) ?? null;
    },
  };
  await take_over_old(old_name, store).catch(() => undefined);
  return store;
}
