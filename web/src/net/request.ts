// One request to the program; its answer as a value. A refusal carries problems that say what to do.

import { signal } from "@preact/signals";
import type { Job, Problem } from "../api_types";
import { author } from "../settings";

// True when the workbench no longer knows this device: it has to be paired again.
export const unpaired = signal(false);

// The service worker marks what it answers from this device with the time at which the program last sent it.
export const kept_header = "X-From-Device";

// The oldest such time on the screen, ISO 8601; empty while the program itself answers.
export const as_of = signal("");

function note_source(response: Response): void {
  const kept = response.headers.get(kept_header);
  if (kept === null) as_of.value = "";
  else if (as_of.value === "" || kept < as_of.value) as_of.value = kept;
}

export interface Answer<T> {
  ok: true;
  status: number;
  value: T;
  headers: Headers;
}

export interface Refusal {
  ok: false;
  status: number; // 0: no answer at all
  problems: Problem[];
}

export type Result<T> = Answer<T> | Refusal;

export function refusal(message: string, remedy: string, status = 0): Refusal {
  return { ok: false, status, problems: [{ severity: "error", code: "page", message, remedy }] };
}

const no_connection = () =>
  refusal(
    "The workbench does not answer.",
    "Check that the program is still running and that this device is on its network. The page keeps trying.",
  );

async function problems_of(response: Response): Promise<Problem[]> {
  try {
    const body = (await response.json()) as { problems?: Problem[] };
    if (body.problems && body.problems.length > 0) return body.problems;
  } catch {
    // No problems in the body: the status has to do.
  }
  const { problems } = refusal(`The workbench refused this (${response.status}).`, "Try again. If it happens again, reload the page.");
  return problems;
}

export interface Call {
  method?: "GET" | "POST" | "PATCH" | "PUT" | "DELETE";
  body?: unknown;
  raw?: Blob;
  headers?: Record<string, string>;
  signal?: AbortSignal;
}

function prepare(call: Call): RequestInit {
  const headers: Record<string, string> = { ...call.headers };
  const init: RequestInit = { method: call.method ?? "GET", headers, credentials: "same-origin", cache: "no-store" };
  if (init.method !== "GET") headers["X-Author"] ??= encodeURIComponent(author.value);
  if (call.raw) {
    init.body = call.raw;
    headers["Content-Type"] = call.raw.type;
  } else if (call.body !== undefined) {
    init.body = JSON.stringify(call.body);
    headers["Content-Type"] ??= "application/json";
  }
  if (call.signal) init.signal = call.signal;
  return init;
}

async function send(path: string, call: Call): Promise<Response | Refusal> {
  try {
    const response = await fetch(path, prepare(call));
    if (response.status === 401) unpaired.value = true;
    note_source(response);
    return response;
  } catch (error) {
    if (error instanceof DOMException && error.name === "AbortError") return refusal("Stopped.", "");
    return no_connection();
  }
}

// The whole body. The connection may break, or the request be aborted, in the middle of it.
async function body_text(response: Response): Promise<Result<string>> {
  if (!response.ok && response.status !== 304) {
    return { ok: false, status: response.status, problems: await problems_of(response) };
  }
  try {
    return { ok: true, status: response.status, value: await response.text(), headers: response.headers };
  } catch {
    return no_connection();
  }
}

// Status 304 is an answer without a body: `value` is undefined then, and the caller keeps what it has.
export async function ask<T>(path: string, call: Call = {}): Promise<Result<T>> {
  const response = await send(path, call);
  if (!(response instanceof Response)) return response;
  const text = await body_text(response);
  if (!text.ok) return text;
  try {
    return { ...text, value: (text.value === "" ? undefined : JSON.parse(text.value)) as T };
  } catch {
    return refusal("The workbench's answer could not be read.", "Reload the page.", response.status);
  }
}

// What takes a little over the time that an answer waits for is asked for again soon; what takes long, seldom.
const first_poll_ms = 20;
const longest_poll_ms = 150;
const pause = (ms: number) => new Promise<void>((done) => window.setTimeout(done, ms));

// A long calculation is answered 202 with the job that makes it. `on_progress` gets the job while it runs, then null.
// Returns null when the job is done, else why it is not.
export async function follow_job(id: string, on_progress: (job: Job | null) => void, stop?: AbortSignal): Promise<Problem[] | null> {
  for (let wait_ms = first_poll_ms; ; wait_ms = Math.min(2 * wait_ms, longest_poll_ms)) {
    const answer = await ask<Job>(`/api/jobs/${encodeURIComponent(id)}`, stop ? { signal: stop } : {});
    if (!answer.ok) return answer.problems;
    const job = answer.value;
    on_progress(job.state === "running" ? job : null);
    if (job.state === "done") return null;
    if (job.state !== "running") {
      const message = job.state === "cancelled" ? "Stopped." : `The calculation failed: ${job.text}`;
      return [{ severity: "note", code: "job", message }];
    }
    await pause(wait_ms);
  }
}

// For answers whose progress nobody watches.
async function send_and_wait(path: string, call: Call): Promise<Response | Refusal> {
  for (;;) {
    const response = await send(path, call);
    if (!(response instanceof Response) || response.status !== 202) return response;
    const text = await body_text(response);
    if (!text.ok) return text;
    const { job = "" } = JSON.parse(text.value) as { job?: string };
    const problems = await follow_job(job, () => undefined, call.signal);
    if (problems) return { ok: false, status: 202, problems };
  }
}

export async function ask_text(path: string, call: Call = {}): Promise<Result<string>> {
  const response = await send_and_wait(path, call);
  return response instanceof Response ? body_text(response) : response;
}

export const graft_path = (name: string, rest = "") => `/api/grafts/${encodeURIComponent(name)}${rest}`;
