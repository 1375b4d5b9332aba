// The service worker: keeps what the program has sent, and answers from it only when the program does not answer. So a
// reload without a link shows the page, the last document, its test plan and the drawings that were loaded.
//
// Model   the network first, always; a kept answer is marked with the time at which the program last sent it
// Needs   BUILD, a name of this build: another build has caches of its own and removes the earlier ones
// Gives   only answers of this origin that were 200. A refusal is never kept; 401 (this device is not paired any more)
//         removes all that was kept, 404 and 410 what was kept under that address
// Fails   what was never loaded is not there without a link
// Cost    at most so many answers (below); the oldest go first

declare const BUILD: string; // set by tools/build_web

interface LastingEvent extends Event {
  waitUntil(work: Promise<unknown>): void;
}

interface RequestEvent extends LastingEvent {
  request: Request;
  respondWith(answer: Promise<Response>): void;
}

interface WorkerScope {
  addEventListener(type: "install" | "activate", listen: (event: LastingEvent) => void): void;
  addEventListener(type: "fetch", listen: (event: RequestEvent) => void): void;
  addEventListener(type: "message", listen: (event: MessageEvent<unknown> & LastingEvent) => void): void;
  skipWaiting(): Promise<void>;
  clients: { claim(): Promise<void> };
}

// TypeScript has the types of a page or those of a worker, not both.
const worker = self as unknown as WorkerScope;

const prefix = "loomgraft-";
const page_cache = `${prefix}page-${BUILD}`;
const data_cache = `${prefix}data-${BUILD}`;
const page_files = ["/", "/app.js", "/app.css", "/icon.svg"];

const kept_at = "X-Kept";
const from_device = "X-From-Device"; // net/request.ts

// More than the faces of a large test plan and the reports of some jobs.
const most_answers = 600;

// A network that says nothing for so long is no link. Once it was found so, the next request waits less.
const patience_ms = 8000;
const little_patience_ms = 1500;
const remembered_ms = 30_000;
let silent_at = 0;

async function install(): Promise<void> {
  const cache = await caches.open(page_cache);
  // Past the browser's own cache. One that is refused fails the installation: the earlier worker stays.
  await cache.addAll(page_files.map((file) => new Request(file, { cache: "reload" })));
  await worker.skipWaiting();
}

async function activate(): Promise<void> {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith(prefix) && name !== page_cache && name !== data_cache);
  await Promise.all(old.map((name) => caches.delete(name)));
  await worker.clients.claim();
}

// Of a graft: its document, lists, reports and drawings; not what is streamed, downloaded or only just being computed.
const kept_data = /^\/api\/(session|grafts|recipes|grafts\/[^/]+(\/(ticks|readings|photos|reports\/[^/]+|drawings\/.+))?)$/;

function cache_of(url: URL): string {
  if (url.origin !== location.origin) return "";
  if (page_files.includes(url.pathname)) return page_cache;
  return kept_data.test(url.pathname) ? data_cache : "";
}

// The page itself is the same whatever stands behind the "?", and a report is the same whichever job made it.
const key_of = (url: URL): string =>
  page_files.includes(url.pathname) ? url.pathname : url.pathname + url.search.replace(/[?&]job=[^&]*$/, "");

function with_header(response: Response, name: string, value: string): Response {
  const headers = new Headers(response.headers);
  headers.set(name, value);
  return new Response(response.body, { status: response.status, headers });
}

// What is put again becomes the youngest.
async function drop_oldest(cache: Cache): Promise<void> {
  const keys = await cache.keys();
  for (const request of keys.slice(0, Math.max(0, keys.length - most_answers))) await cache.delete(request);
}

async function put(cache: Cache, key: string, response: Response): Promise<void> {
  await cache.put(key, with_header(response, kept_at, new Date().toISOString()));
  await drop_oldest(cache);
}

async function fetch_whole(cache: Cache, key: string): Promise<void> {
  const response = await fetch(key, { cache: "no-store", credentials: "same-origin" });
  if (response.status === 200) await put(cache, key, response);
}

// What an answer of the program does to what is kept.
async function take_note(cache_name: string, key: string, response: Response): Promise<void> {
  if (response.status === 401) {
    await caches.delete(data_cache);
    return;
  }
  const cache = await caches.open(cache_name);
  if (response.status === 200) await put(cache, key, response);
  else if (response.status === 404 || response.status === 410) await cache.delete(key);
  else if (response.status === 304) {
    // The page has the content; here it may be missing, or older.
    const kept = await cache.match(key);
    if (kept && kept.headers.get("ETag") === response.headers.get("ETag")) await put(cache, key, kept);
    else await fetch_whole(cache, key);
  }
}

function in_time(work: Promise<Response>): Promise<Response> {
  const wait_ms = Date.now() - silent_at < remembered_ms ? little_patience_ms : patience_ms;
  return new Promise((done, failed) => {
    const timer = setTimeout(() => failed(new Error("silence")), wait_ms);
    work.then(done, failed).finally(() => clearTimeout(timer));
  });
}

async function answer(event: RequestEvent, cache_name: string, key: string): Promise<Response> {
  const network = fetch(event.request);
  const noted = network.then((response) => take_note(cache_name, key, response.clone()));
  event.waitUntil(noted.catch(() => undefined));
  const kept = await (await caches.open(cache_name)).match(key);
  if (!kept) return network;
  try {
    const response = await in_time(network);
    silent_at = 0;
    return response;
  } catch {
    if (event.request.signal.aborted) return network; // the page does not want it any more
    silent_at = Date.now();
    return with_header(kept, from_device, kept.headers.get(kept_at) ?? "");
  }
}

// What the page has loaded without this worker. One after the other: it is not urgent.
async function keep_all(keys: readonly string[]): Promise<void> {
  const cache = await caches.open(data_cache);
  for (const key of keys) {
    if (cache_of(new URL(key, location.origin)) !== data_cache || (await cache.match(key))) continue;
    await fetch_whole(cache, key);
  }
}

worker.addEventListener("install", (event) => event.waitUntil(install()));
worker.addEventListener("activate", (event) => event.waitUntil(activate()));
worker.addEventListener("fetch", (event) => {
  if (event.request.method !== "GET") return;
  const url = new URL(event.request.url);
  const name = cache_of(url);
  if (name) event.respondWith(answer(event, name, key_of(url)));
});
worker.addEventListener("message", (event) => {
  const { keep } = (event.data ?? {}) as { keep?: unknown };
  const keys = Array.isArray(keep) ? keep.filter((one) => typeof one === "string") : [];
  event.waitUntil(keep_all(keys).catch(() => undefined));
});
