// Reports of the open graft. What was read stays on screen until the newer one is there; long ones show progress.

import { signal, type Signal } from "@preact/signals";
import { useLayoutEffect } from "preact/hooks";
import type { Job, Problem } from "../api_types";
import { ask, follow_job, graft_path } from "./answer";
import { graft } from "./graft";

export interface Loaded<T> {
  value: T | null;
  etag: string;
  revision: number; // it was asked for
  problems: Problem[]; // why there is no newer one
  job: (Job & { id: string }) | null;
}

export interface Report<T> extends Loaded<T> {
  again: () => void; // for what was stopped, or failed
}

const empty: Loaded<never> = { value: null, etag: "", revision: 0, problems: [], job: null };

// So many readings at most between two revisions.
export const revisions_apart = 1_000_000;

const shelves = new Map<string, Signal<Loaded<unknown>>>();
const under_way = new Map<string, { control: AbortController; revision: number }>();
const most_shelves = 60;

function shelf<T>(key: string): Signal<Loaded<T>> {
  let found = shelves.get(key);
  if (!found) {
    if (shelves.size >= most_shelves) {
      const oldest = shelves.keys().next().value;
      if (oldest !== undefined) shelves.delete(oldest);
    }
    found = signal<Loaded<unknown>>(empty);
    shelves.set(key, found);
  }
  return found as Signal<Loaded<T>>;
}

async function follow<T>(into: Signal<Loaded<T>>, id: string, revision: number, stop: AbortSignal): Promise<boolean> {
  const told = (job: Job | null) => {
    if (!stop.aborted) into.value = { ...into.value, job: job && { ...job, id } };
  };
  const problems = await follow_job(id, told, stop);
  if (problems && !stop.aborted) into.value = { ...into.value, problems, revision, job: null };
  return problems === null && !stop.aborted;
}

async function read<T>(name: string, path: string, revision: number): Promise<void> {
  const key = `${name} ${path}`;
  const into = shelf<T>(key);
  const before = under_way.get(key);
  if (before?.revision === revision) return;
  before?.control.abort();
  const control = new AbortController();
  under_way.set(key, { control, revision });
  await read_into(into, name, path, revision, control);
  if (under_way.get(key)?.control === control) under_way.delete(key);
}

async function read_into<T>(into: Signal<Loaded<T>>, name: string, path: string, revision: number, control: AbortController): Promise<void> {
  const headers: Record<string, string> = into.value.etag ? { "If-None-Match": into.value.etag } : {};
  for (;;) {
    const answer = await ask<T & { job?: string }>(graft_path(name, path), { signal: control.signal, headers });
    if (control.signal.aborted) return;
    if (!answer.ok) {
      into.value = { ...into.value, problems: answer.problems, revision, job: null };
      return;
    }
    if (answer.status === 202 && answer.value.job) {
      if (await follow(into, answer.value.job, revision, control.signal)) continue;
      return;
    }
    const value = answer.status === 304 ? into.value.value : answer.value;
    const etag = answer.headers.get("ETag") ?? "";
    into.value = { value, etag, revision, problems: [], job: null };
    return;
  }
}

// The report at `path` ("/reports/compare?…"), read anew whenever the graft moves on. Null asks for nothing. Who only
// sums a report up in passing gives it `patience_ms`: what is in view comes first, and edits that follow each other
// closely cost one newer reading.
export function useReport<T>(path: string | null, patience_ms = 0, also = 0): Report<T> {
  const open = graft.value;
  const name = open?.name ?? "";
  // What else makes the report another one (readings) counts in one number with the revision.
  const revision = (open?.revision ?? 0) * revisions_apart + also;
  // Asked for before the page is painted: what is under way then comes sooner.
  useLayoutEffect(() => {
    if (!path || !name) return;
    const ask_now = () => {
      const have = shelf<T>(`${name} ${path}`).peek();
      if (have.revision !== revision || (have.value === null && have.job === null)) void read<T>(name, path, revision);
    };
    if (patience_ms === 0) return ask_now();
    // What a person has stopped meanwhile, or what failed, is not begun anew in passing.
    const timer = window.setTimeout(() => {
      const have = shelf<T>(`${name} ${path}`).peek();
      if (have.revision !== revision || have.problems.length === 0) ask_now();
    }, patience_ms);
    return () => window.clearTimeout(timer);
  }, [name, path, revision]);
  const again = () => {
    if (!path || !name) return;
    const into = shelf<T>(`${name} ${path}`);
    into.value = { ...into.peek(), problems: [] };
    void read<T>(name, path, revision);
  };
  return { ...(path && name ? shelf<T>(`${name} ${path}`).value : (empty as Loaded<T>)), again };
}

export async function stop_job(id: string): Promise<void> {
  await ask(`/api/jobs/${encodeURIComponent(id)}`, { method: "DELETE" });
}

export function forget_reports(): void {
  for (const { control } of under_way.values()) control.abort();
  under_way.clear();
  shelves.clear();
}
