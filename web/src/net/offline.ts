// The service worker of this page: what was loaded stays on this device, so that a reload without a link shows it. Browsers
// have service workers only for pages that came over TLS or from this computer.

import { signal } from "@preact/signals";
import { drawings_at_hand } from "../parts/drawing";
import { graft } from "./graft";
import { reports_at_hand } from "./report";
import { graft_path } from "./request";

// True once the page would come back after a reload without a link.
export const offline_ready = signal(false);

// What was loaded before the worker was there did not pass through it: it is told what that was.
function at_hand(): string[] {
  const name = graft.peek()?.name;
  const lists = ["/api/session", "/api/grafts"];
  if (!name) return lists;
  const own = ["", "/ticks", "/readings", "/photos", ...reports_at_hand(name), ...drawings_at_hand(name)];
  return [...lists, ...own.map((rest) => graft_path(name, rest))];
}

// Those that are being loaded while the worker starts are told afterwards.
const tell_after_ms = [0, 3000, 15_000];

function tell(worker: ServiceWorker): void {
  for (const wait_ms of tell_after_ms) window.setTimeout(() => worker.postMessage({ keep: at_hand() }), wait_ms);
}

function watch(worker: ServiceWorker): void {
  const look = () => {
    if (worker.state !== "activated") return;
    worker.removeEventListener("statechange", look);
    offline_ready.value = true;
    tell(worker);
  };
  worker.addEventListener("statechange", look);
  look();
}

async function start(): Promise<void> {
  // Undefined where the browser offers none, whatever its types say.
  const workers = navigator.serviceWorker as ServiceWorkerContainer | undefined;
  const registration = (await workers?.register("/service_worker.js").catch(() => undefined)) as ServiceWorkerRegistration | undefined;
  if (!registration) return;
  const follow = () => {
    const worker = registration.installing ?? registration.waiting ?? registration.active;
    if (worker) watch(worker);
  };
  if (registration.active) watch(registration.active);
  registration.addEventListener("updatefound", follow);
  follow();
}

// After the first view: what is on the screen comes first.
export function start_offline(): void {
  const later = () => window.setTimeout(() => void start(), 1000);
  if (document.readyState === "complete") later();
  else window.addEventListener("load", later, { once: true });
}

// For a device that logs out: what it has loaded does not stay on it. What waits to be sent does.
export async function forget_loaded(): Promise<void> {
  if (!("serviceWorker" in navigator)) return;
  for (const registration of await navigator.serviceWorker.getRegistrations()) await registration.unregister();
  for (const name of await caches.keys()) if (name.startsWith("loomgraft-")) await caches.delete(name);
  offline_ready.value = false;
}
