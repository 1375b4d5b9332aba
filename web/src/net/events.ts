// Server-sent events of the open graft: what other devices and programs change. The document is read again when its
// revision moves on.

import { signal } from "@preact/signals";
import { show_message } from "../message";
import { type ChangeList, in_one_line } from "../model/changes";
import { author } from "../settings";
import { graft, load_graft } from "./graft";
import { on_meter_event } from "./meter";

export type Connection = "connected" | "connecting" | "lost";
export const connection = signal<Connection>("connecting");

// Counts up with every tick, reading or photo of any device; what shows them reads them again.
export const tick_count = signal(0);
export const reading_count = signal(0);
export const photo_count = signal(0);

const retry_ms = 2000;

let source: EventSource | null = null;

type RevisionEvent = Partial<ChangeList> & { revision?: number; author?: string };

function data_of(event: MessageEvent<string>): RevisionEvent {
  try {
    const value: unknown = JSON.parse(event.data);
    return value !== null && typeof value === "object" ? value : {};
  } catch {
    return {};
  }
}

function on_revision(name: string, event: MessageEvent<string>): void {
  const { revision = 0, author: by = "", text = "", changes = [] } = data_of(event);
  const open = graft.value;
  if (open?.name !== name || revision <= open.revision) return;
  if (by && by !== author.value) show_message(`${by}: ${in_one_line({ text, changes }) || "changed the graft"}`);
  void load_graft(name);
}

export function watch(name: string): () => void {
  source?.close();
  const mine = new EventSource(`/api/events?graft=${encodeURIComponent(name)}`);
  source = mine;
  let again = 0;
  let stop: () => void = () => undefined;
  if (connection.value !== "lost") connection.value = "connecting";
  mine.addEventListener("open", () => {
    // After a break the stream repeats what was missed; reading once more costs little and is sure.
    if (connection.value === "lost") void load_graft(name);
    connection.value = "connected";
  });
  mine.addEventListener("error", () => {
    connection.value = "lost";
    // The browser reconnects by itself, unless the server refused.
    if (mine.readyState === EventSource.CLOSED && source === mine) {
      again = window.setTimeout(() => {
        stop = watch(name);
      }, retry_ms);
    }
  });
  mine.addEventListener("revision", (event) => on_revision(name, event));
  mine.addEventListener("tick", () => {
    tick_count.value += 1;
  });
  mine.addEventListener("reading", () => {
    reading_count.value += 1;
  });
  mine.addEventListener("photo", () => {
    photo_count.value += 1;
  });
  mine.addEventListener("meter", on_meter_event);
  return () => {
    window.clearTimeout(again);
    stop();
    mine.close();
    if (source === mine) {
      source = null;
      connection.value = "connecting";
    }
  };
}
