// What other devices and programs change, as it happens: the graft is read anew when its revision moves on.

import { signal } from "@preact/signals";
import { say } from "../say";
import { author } from "../settings";
import { graft, load_graft } from "./graft";

export type Link = "joined" | "joining" | "none";
export const link = signal<Link>("joining");

// Counts up with every tick, reading or photo of any device; who shows them reads anew.
export const tick_count = signal(0);
export const reading_count = signal(0);
export const photo_count = signal(0);

const retry_ms = 2000;

let source: EventSource | null = null;

function data_of(event: MessageEvent<string>): { revision?: number; author?: string; words?: string } {
  try {
    const value: unknown = JSON.parse(event.data);
    return value !== null && typeof value === "object" ? value : {};
  } catch {
    return {};
  }
}

function on_revision(name: string, event: MessageEvent<string>): void {
  const { revision = 0, author: by = "", words = "" } = data_of(event);
  const open = graft.value;
  if (open?.name !== name || revision <= open.revision) return;
  if (by && by !== author.value) say(`${by}: ${words || "changed the graft"}`);
  void load_graft(name);
}

export function watch(name: string): () => void {
  source?.close();
  const mine = new EventSource(`/api/events?graft=${encodeURIComponent(name)}`);
  source = mine;
  let again = 0;
  let stop: () => void = () => undefined;
  if (link.value !== "none") link.value = "joining";
  mine.addEventListener("open", () => {
    // After a break the stream replays what it missed; reading once more costs little and is sure.
    if (link.value === "none") void load_graft(name);
    link.value = "joined";
  });
  mine.addEventListener("error", () => {
    link.value = "none";
    // The browser tries again by itself, except where it was told no.
    if (mine.readyState === EventSource.CLOSED && source === mine) {
      again = window.setTimeout(() => (stop = watch(name)), retry_ms);
    }
  });
  mine.addEventListener("revision", (event) => on_revision(name, event));
  mine.addEventListener("tick", () => (tick_count.value += 1));
  mine.addEventListener("reading", () => (reading_count.value += 1));
  mine.addEventListener("photo", () => (photo_count.value += 1));
  return () => {
    window.clearTimeout(again);
    stop();
    mine.close();
    if (source === mine) {
      source = null;
      link.value = "joining";
    }
  };
}
