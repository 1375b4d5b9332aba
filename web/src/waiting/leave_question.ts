// The browser's own question before the page is closed or reloaded, only while something would be lost by it: the link is
// down and the page would not come back without it, or an entry is just being stored.

import { effect } from "@preact/signals";
import { connection } from "../net/events";
import { graft } from "../net/graft";
import { offline_ready } from "../net/offline";
import { being_stored, can_store } from "../net/waiting";

const loses_something = (): boolean =>
  being_stored.value > 0 || (connection.value === "lost" && graft.value !== null && !(offline_ready.value && can_store.value));

const ask = (event: BeforeUnloadEvent) => event.preventDefault();

// A listener that is there without need keeps browsers from holding the page ready for "back".
effect(() => {
  if (loses_something()) window.addEventListener("beforeunload", ask);
  else window.removeEventListener("beforeunload", ask);
});
