// Reports of the open graft. The last one stays on screen until the newer one is there; long ones show progress.

import { type Signal, signal } from "@preact/signals";
import { useLayoutEffect } from "preact/hooks";
import type { Job, Problem } from "../api_types";
import { connection } from "./events";
import { graft } from "./graft";
import { ask, follow_job, graft_path, kept_header } from "./request";

// What a report was made of: the revision of the document and how many readings the program had.
interface Version {
  revision: number;
  readings: number;
}

export interface Loaded<T> {
  value: T | null;
  etag: string;
  version: Version; // that was asked for
  problems: Problem[]; // why there is no newer one
  job: (Job & { id: string }) | null;
  kept: boolean; // from this device, while there was no link: it is asked for again when there is one
}

export interface Report<T> extends Loaded<T> {
  again: () => void; // for what was stopped, or failed
}

const empty: Loaded<never> = { value: null, etag: "", version: { revision: 0, readings: 0 }, problems: [], job: null, kept: false };

const same_version = (a: Version, b: Version) => a.revision === b.revision && a.readings === b.readings;

const cache = new Map<string, Signal<Loaded<unknown>>>();
const in_progress = new Map<string, { control: AbortController; version: Version; next: Version | null }>();
const largest_cache = 60;

function cached<T>(key: string): Signal<Loaded<T>> {
  let found = cache.get(key);
  if (!found) {
    if (cache.size >= largest_cache) {
      const oldest = cache.keys().next().value;
      if (oldest !== undefined) cache.delete(oldest);
    }
    found = signal<Loaded<unknown>>(empty);
    cache.set(key, found);
  }
  return found as Signal<Loaded<T>>;
}

async function follow<T>(into: Signal<Loaded<T>>, id: string, version: Version, stop: AbortSignal): Promise<boolean> {
  const on_progress = (job: Job | null) => {
    if (!stop.aborted) into.value = { ...into.value, job: job && { ...job, id } };
  };
  const problems = await follow_job(id, on_progress, stop);
  if (problems && !stop.aborted) into.value = { ...into.value, problems, version, job: null };
  return problems === null && !stop.aborted;
}

async function read<T>(name: string, path: string, version: Version): Promise<void> {
  const key = `${name} ${path}`;
  const into = cached<T>(key);
  const before = in_progress.get(key);
  // What is being read is read to its end: with edits in quick succession no report would else ever come.
  if (before) {
    before.next = same_version(before.version, version) ? null : version;
    return;
  }
  const control = new AbortController();
  const reading = { control, version, next: null as Version | null };
  in_progress.set(key, reading);
  await read_into(into, name, path, version, control);
  if (in_progress.get(key) === reading) in_progress.delete(key);
  if (reading.next && !control.signal.aborted) await read<T>(name, path, reading.next);
}

async function read_into<T>(
  into: Signal<Loaded<T>>,
  name: string,
  path: string,
  version: Version,
  control: AbortController,
): Promise<void> {
  const headers: Record<string, string> = into.value.etag ? { "If-None-Match": into.value.etag } : {};
  let address = path;
  for (;;) {
    const answer = await ask<T & { job?: string }>(graft_path(name, address), { signal: control.signal, headers });
    if (control.signal.aborted) return;
    if (!answer.ok) {
      into.value = { ...into.value, problems: answer.problems, version, job: null };
      return;
    }
    if (answer.status === 202 && answer.value.job) {
      if (!(await follow(into, answer.value.job, version, control.signal))) return;
      address = `${path}${path.includes("?") ? "&" : "?"}job=${encodeURIComponent(answer.value.job)}`;
      continue;
    }
    const value = answer.status === 304 ? into.value.value : answer.value;
    const etag = answer.headers.get("ETag") ?? "";
    into.value = { value, etag, version, problems: [], job: null, kept: answer.headers.has(kept_header) };
    return;
  }
}

interface Options {
  delay_ms?: number; // for a summary: what is in view comes first, and quick edits in a row cost one report
  readings?: number; // for a report that also depends on the readings: how many the program has
}

// The report at `path` ("/reports/compare?…"), read again whenever the graft moves on. Null requests nothing.
export function use_report<T>(path: string | null, { delay_ms = 0, readings = 0 }: Options = {}): Report<T> {
  const open = graft.value;
  const name = open?.name ?? "";
  const revision = open?.revision ?? 0;
  const connected = connection.value === "connected";
  // Requested before the page is painted: what is in progress then arrives sooner.
  useLayoutEffect(() => {
    if (!path || !name) return;
    const version = { revision, readings };
    const request = () => {
      const have = cached<T>(`${name} ${path}`).peek();
      const outdated = !same_version(have.version, version) || (have.kept && connected);
      if (outdated || (have.value === null && have.job === null)) void read<T>(name, path, version);
    };
    if (delay_ms === 0) {
      request();
      return;
    }
    // A summary does not restart what a person stopped meanwhile, or what failed.
    const timer = window.setTimeout(() => {
      const have = cached<T>(`${name} ${path}`).peek();
      if (!same_version(have.version, version) || have.problems.length === 0) request();
    }, delay_ms);
    return () => window.clearTimeout(timer);
  }, [name, path, revision, readings, connected]);
  const again = () => {
    if (!path || !name) return;
    const into = cached<T>(`${name} ${path}`);
    into.value = { ...into.peek(), problems: [] };
    void read<T>(name, path, { revision, readings });
  };
  return { ...(path && name ? cached<T>(`${name} ${path}`).value : (empty as Loaded<T>)), again };
}

// What is at hand of a report that something else requests.
export function report_at_hand<T>(path: string | null): T | null {
  const name = graft.value?.name ?? "";
  return path && name ? cached<T>(`${name} ${path}`).value.value : null;
}

// The paths of all that are at hand, below the graft.
export function reports_at_hand(name: string): string[] {
  const loaded = [...cache].filter(([key, one]) => key.startsWith(`${name} `) && one.peek().value !== null);
  return loaded.map(([key]) => key.slice(name.length + 1));
}

export async function stop_job(id: string): Promise<void> {
  await ask(`/api/jobs/${encodeURIComponent(id)}`, { method: "DELETE" });
}

export function forget_reports(): void {
  for (const { control } of in_progress.values()) control.abort();
  in_progress.clear();
  cache.clear();
}
