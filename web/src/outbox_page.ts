// The outbox of this page: IndexedDB stores its readings, the program's API receives them.

import { signal } from "@preact/signals";
import type { Reading } from "./api_types";
import { with_marks } from "./model/reading";
import { ask, graft_path } from "./net/request";
import { create_outbox, type Outbox, type SendResult, type Store, type StoredReading } from "./outbox";

export const stored_readings = signal<StoredReading[]>([]);

const table = "readings";

function result_of<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error ?? new Error("this device cannot store readings"));
  });
}

function finished(transaction: IDBTransaction): Promise<void> {
  return new Promise((done, failed) => {
    transaction.oncomplete = () => done();
    transaction.onabort = () => failed(transaction.error ?? new Error("this device cannot store readings"));
  });
}

// As earlier versions of this page stored a reading. Phones may still hold such records.
interface OldRecord {
  reading: Reading;
  graft: string;
  fate: "waiting" | "safe" | "refused";
  words: string;
}

function of_record(record: StoredReading | OldRecord): StoredReading {
  const reading = with_marks(record.reading);
  if (!("fate" in record)) return { ...record, reading };
  return { reading, graft: record.graft, state: record.fate === "refused" ? "refused" : "pending", reason: record.words };
}

export async function open_store(name = "loomgraft-outbox"): Promise<Store> {
  const request = indexedDB.open(name, 1);
  request.onupgradeneeded = () => {
    const store = request.result.createObjectStore(table, { autoIncrement: true });
    store.createIndex("id", "reading.id", { unique: true });
  };
  const database = await result_of(request);

  const key_of = (id: string): Promise<IDBValidKey | undefined> =>
    result_of(database.transaction(table).objectStore(table).index("id").getKey(id));

  return {
    async put(stored) {
      const key = await key_of(stored.reading.id);
      // "strict": the browser answers only when the record is on the device's disk.
      const transaction = database.transaction(table, "readwrite", { durability: "strict" });
      if (key === undefined) transaction.objectStore(table).add(stored);
      else transaction.objectStore(table).put(stored, key);
      await finished(transaction);
    },
    async remove(id) {
      const key = await key_of(id);
      if (key === undefined) return;
      const transaction = database.transaction(table, "readwrite");
      transaction.objectStore(table).delete(key);
      await finished(transaction);
    },
    async all() {
      const records = await result_of<(StoredReading | OldRecord)[]>(database.transaction(table).objectStore(table).getAll());
      return records.map(of_record);
    },
  };
}

const refused_for_content = new Set([400, 404, 413, 415]);

async function send({ graft, reading }: StoredReading): Promise<SendResult> {
  const answer = await ask(graft_path(graft, "/readings"), { method: "POST", body: reading });
  if (answer.ok) return { state: "saved" };
  if (!refused_for_content.has(answer.status)) return { state: "pending" };
  return { state: "refused", reason: answer.problems.map((problem) => problem.message).join(" ") };
}

const retry_ms = 4000;

export async function start_outbox(): Promise<Outbox> {
  const outbox = await create_outbox(await open_store(), send, (list) => {
    stored_readings.value = list;
  });
  stored_readings.value = outbox.list();
  const flush = () => void outbox.flush();
  window.addEventListener("online", flush);
  window.setInterval(flush, retry_ms);
  flush();
  return outbox;
}
