// The outbox of this page: IndexedDB below it, the program's API at its other end.

import { signal } from "@preact/signals";
import { ask, graft_path } from "./net/answer";
import { make_outbox, type Kept, type Outbox, type Sent, type Store } from "./outbox";

export const readings = signal<Kept[]>([]);

const table = "readings";

function result_of<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error ?? new Error("this device cannot keep readings"));
  });
}

function finished(transaction: IDBTransaction): Promise<void> {
  return new Promise((done, failed) => {
    transaction.oncomplete = () => done();
    transaction.onabort = () => failed(transaction.error ?? new Error("this device cannot keep readings"));
  });
}

export async function open_store(name = "loomgraft-outbox"): Promise<Store> {
  const request = indexedDB.open(name, 1);
  request.onupgradeneeded = () => {
    const store = request.result.createObjectStore(table, { autoIncrement: true });
    store.createIndex("id", "reading.id", { unique: true });
  };
  const database = await result_of(request);

  async function key_of(id: string): Promise<IDBValidKey | undefined> {
    return result_of(database.transaction(table).objectStore(table).index("id").getKey(id));
  }

  return {
    async put(kept) {
      const key = await key_of(kept.reading.id);
      // "strict": the browser answers only when its own disk has it.
      const transaction = database.transaction(table, "readwrite", { durability: "strict" });
      if (key === undefined) transaction.objectStore(table).add(kept);
      else transaction.objectStore(table).put(kept, key);
      await finished(transaction);
    },
    async remove(id) {
      const key = await key_of(id);
      if (key === undefined) return;
      const transaction = database.transaction(table, "readwrite");
      transaction.objectStore(table).delete(key);
      await finished(transaction);
    },
    all: () => result_of(database.transaction(table).objectStore(table).getAll() as IDBRequest<Kept[]>),
  };
}

const for_a_person = new Set([400, 404, 413, 415]);

async function send(kept: Kept): Promise<Sent> {
  const answer = await ask(graft_path(kept.graft, "/readings"), { method: "POST", body: kept.reading });
  if (answer.ok) return { fate: "safe" };
  if (!for_a_person.has(answer.status)) return { fate: "again" };
  return { fate: "refused", words: answer.problems.map((problem) => problem.message).join(" ") };
}

const retry_ms = 4000;

export async function start_outbox(): Promise<Outbox> {
  const outbox = await make_outbox(await open_store(), send, (list) => (readings.value = list));
  readings.value = outbox.list();
  const flush = () => void outbox.flush();
  window.addEventListener("online", flush);
  window.setInterval(flush, retry_ms);
  flush();
  return outbox;
}
