// What the page shows, kept in the address after the #: "#/g/van/compare?plug=C3&cavity=1". Back and forward work.

import { signal } from "@preact/signals";

export const stages = [
  "gather",
  "identify",
  "choose",
  "compare",
  "circuits",
  "loom",
  "design",
  "diagram",
  "prove",
  "find",
  "history",
] as const;
export type Stage = (typeof stages)[number];

export interface Route {
  graft: string; // empty: the start page
  start: "jobs" | "new"; // which of its screens
  stage: Stage;
  query: URLSearchParams;
}

export function parse_route(hash: string): Route {
  const [path = "", query = ""] = hash.replace(/^#/, "").split("?", 2);
  const [, kind, graft, stage] = path.split("/");
  const known = stages.find((name) => name === stage);
  return {
    graft: kind === "g" && graft ? decode(graft) : "",
    start: kind === "new" ? "new" : "jobs",
    stage: known ?? "gather",
    query: new URLSearchParams(query),
  };
}

function decode(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return "";
  }
}

export function route_to(graft: string, stage: Stage, query: Record<string, string> = {}): string {
  const tail = new URLSearchParams(query).toString();
  return `#/g/${encodeURIComponent(graft)}/${stage}${tail ? `?${tail}` : ""}`;
}

export const route = signal<Route>(parse_route(location.hash));

window.addEventListener("hashchange", () => {
  route.value = parse_route(location.hash);
});

export function go(hash: string): void {
  location.hash = hash;
}

// Changes what is selected without a new entry in the browser's history.
export function select(query: Record<string, string>): void {
  const next = new URLSearchParams(route.value.query);
  for (const [key, value] of Object.entries(query)) {
    if (value === "") next.delete(key);
    else next.set(key, value);
  }
  const hash = route_to(route.value.graft, route.value.stage, Object.fromEntries(next));
  history.replaceState(null, "", hash);
  route.value = parse_route(hash);
}
