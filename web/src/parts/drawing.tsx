// A drawing of the program in the page. Its parts can be highlighted, and picked by pointer and by keys: one stop for the
// Tab key, arrow keys from part to part.

import { useLayoutEffect, useRef, useState } from "preact/hooks";
import type { Problem } from "../api_types";
import { drawing_of } from "../net/drawing";
import { connection } from "../net/events";
import { graft } from "../net/graft";
import { ask_text, graft_path, kept_header, type Result } from "../net/request";
import { black_ink } from "./print";
import { Problems } from "./problems";

interface Props {
  path: string; // below the graft: "/drawings/face/C1?side=both"
  label: string;
  part: string; // attribute that names a part: "data-cavity"
  highlighted?: string[];
  pick?: (part: string) => void;
  also?: string[]; // further attributes that name parts
  near?: string[]; // parts that do not step back with the rest
  dim?: boolean; // what is not highlighted steps back while something is
  crop?: string; // show only the part of the drawing around what this selector finds
  heading?: string; // replaces the drawing's own title where that is an id
  drawn?: (svg: SVGSVGElement | null, path: string) => void; // called when another drawing has been put in
  children?: never;
}

const kept_revision = -1;

interface CachedDrawing {
  revision: number;
  markup: string;
}

// More than the faces of one test plan, which must all be there when the connection is lost.
const largest_cache = 200;
const cache = new Map<string, CachedDrawing>();

function keep_drawing(key: string, drawing: CachedDrawing): void {
  cache.delete(key);
  const oldest = cache.keys().next().value;
  if (cache.size >= largest_cache && oldest !== undefined) cache.delete(oldest);
  cache.set(key, drawing);
}

// The paths of all that are at hand, below the graft.
export const drawings_at_hand = (name: string): string[] =>
  [...cache.keys()].filter((key) => key.startsWith(`${name} `)).map((key) => key.slice(name.length + 1));

const any_of = (attributes: string[]): string => attributes.map((name) => `[${name}]`).join(",");

const parts_in = (svg: SVGSVGElement, attributes: string[]): SVGElement[] =>
  Array.from(svg.querySelectorAll<SVGElement>(any_of(attributes)));

function part_id(part: Element, attributes: string[]): string {
  for (const attribute of attributes) {
    const value = part.getAttribute(attribute);
    if (value !== null) return value;
  }
  return "";
}

function make_pickable(svg: SVGSVGElement, attributes: string[]): void {
  parts_in(svg, attributes).forEach((part, index) => {
    part.setAttribute("role", "button");
    part.setAttribute("tabindex", index === 0 ? "0" : "-1");
    // Its title or text names it; a part with neither is named by its id.
    if (!part.textContent?.trim()) part.setAttribute("aria-label", part_id(part, attributes));
  });
}

function move_focus(svg: SVGSVGElement, from: Element, step: number, attributes: string[]): void {
  const parts = parts_in(svg, attributes);
  const to = parts[(parts.indexOf(from as SVGElement) + step + parts.length) % parts.length];
  if (!to) return;
  from.setAttribute("tabindex", "-1");
  to.setAttribute("tabindex", "0");
  to.focus();
}

// Around the parts, so much that the outline of the housing and its latch are inside.
const crop_edge = 9;

// The text of a drawing's box cannot be measured before it is in the page.
function crop_to(svg: SVGSVGElement, selector: string): void {
  const boxes = Array.from(svg.querySelectorAll<SVGGElement>(selector)).map((one) => one.getBBox());
  if (boxes.length === 0) return;
  const { width, height } = svg.viewBox.baseVal;
  const left = Math.max(0, Math.min(...boxes.map((box) => box.x)) - crop_edge);
  const top = Math.max(0, Math.min(...boxes.map((box) => box.y)) - crop_edge);
  const right = Math.min(width, Math.max(...boxes.map((box) => box.x + box.width)) + crop_edge);
  const bottom = Math.min(height, Math.max(...boxes.map((box) => box.y + box.height)) + crop_edge);
  for (const text of svg.querySelectorAll<SVGTextElement>(":scope > text")) {
    const box = text.getBBox();
    if (box.y < top && box.y + box.height > top) text.remove(); // the edge would cut through it
  }
  // The page's own height of the drawing follows from these.
  svg.setAttribute("width", `${right - left}`);
  svg.setAttribute("height", `${bottom - top}`);
  svg.setAttribute("viewBox", `${left} ${top} ${right - left} ${bottom - top}`);
}

function rename(svg: SVGSVGElement, heading: string): void {
  const title = svg.querySelector(":scope > title");
  const first = svg.querySelector(":scope > text");
  if (first && first.textContent === title?.textContent) first.textContent = heading;
  if (title) title.textContent = heading;
}

const key_steps: Record<string, number> = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };

interface Markup {
  path: string;
  markup: string;
  problems: Problem[];
}

const in_progress = new Map<string, Promise<Result<string>>>();

// One request for a drawing of one revision, no matter how many components need it.
function fetch_drawing(key: string, name: string, path: string, revision: number): Promise<Result<string>> {
  const request_key = `${revision} ${key}`;
  const before = in_progress.get(request_key);
  if (before) return before;
  const request = ask_text(graft_path(name, path)).then((answer) => {
    in_progress.delete(request_key);
    // One that came from this device may be of an earlier revision: the program is asked again.
    const kept = answer.ok && answer.headers.has(kept_header);
    if (answer.ok) keep_drawing(key, { revision: kept ? kept_revision : revision, markup: answer.value });
    return answer;
  });
  in_progress.set(request_key, request);
  return request;
}

// The latest drawing stays until the next one has arrived.
export function use_markup(path: string): Markup {
  const open = graft.value;
  const name = open?.name ?? "";
  const revision = open?.revision ?? 0;
  const connected = connection.value === "connected";
  const key = `${name} ${path}`;
  const [shown, set_shown] = useState<Markup>({ path: "", markup: "", problems: [] });
  useLayoutEffect(() => {
    const have = cache.get(key);
    if (have) set_shown({ path, markup: have.markup, problems: [] });
    if (have?.revision === revision) return;
    let gone = false;
    void fetch_drawing(key, name, path, revision).then((answer) => {
      if (!gone) set_shown(answer.ok ? { path, markup: answer.value, problems: [] } : { path, markup: "", problems: answer.problems });
    });
    return () => {
      gone = true;
    };
  }, [key, revision, connected]);
  return shown;
}

// Fetches a drawing ahead of its use: it will be needed soon, or when the connection is lost.
export function fetch_ahead(path: string): void {
  const { name = "", revision = 0 } = graft.value ?? {};
  const key = `${name} ${path}`;
  if (name && cache.get(key)?.revision !== revision) void fetch_drawing(key, name, path, revision);
}

// The same drawing in black ink.
function in_black(path: string): string {
  const url = new URL(path, "http://page");
  url.searchParams.set("black", "1");
  return url.pathname + url.search;
}

export function Drawing({
  path,
  label,
  part,
  highlighted = [],
  pick,
  also = [],
  near = [],
  dim = false,
  crop = "",
  heading = "",
  drawn,
}: Props) {
  const box = useRef<HTMLDivElement>(null);
  const black_path = in_black(path);
  const { path: shown, markup, problems } = use_markup(black_ink.value ? black_path : path);
  const ink = shown === black_path || problems.length > 0 ? "black" : "colour";
  const attributes = [part, ...also];
  const highlighted_key = highlighted.join("\n");

  useLayoutEffect(() => {
    const svg = markup ? drawing_of(markup) : null;
    if (!svg || !box.current) {
      box.current?.replaceChildren();
      drawn?.(null, shown);
      return;
    }
    if (heading) rename(svg, heading);
    svg.setAttribute("role", pick ? "group" : "img");
    svg.setAttribute("aria-label", label);
    svg.classList.add("drawing");
    if (pick) make_pickable(svg, attributes);
    box.current.replaceChildren(svg);
    if (crop) crop_to(svg, crop);
    drawn?.(svg, shown);
  }, [markup, label, part, heading, crop]);

  useLayoutEffect(() => {
    const svg = box.current?.querySelector("svg");
    if (!svg) return;
    const ids = new Set(highlighted);
    const close = new Set(near);
    const is_one_of = (set: Set<string>, one: Element) => attributes.some((name) => set.has(one.getAttribute(name) ?? "\n"));
    for (const one of parts_in(svg, attributes)) {
      const on = is_one_of(ids, one);
      one.classList.toggle("highlighted", on);
      one.classList.toggle("dimmed", dim && ids.size > 0 && !on && !is_one_of(close, one));
    }
  }, [markup, highlighted_key, part, label, heading, crop, dim]);

  const part_of = (event: Event): Element | null => (event.target instanceof Element ? event.target.closest(any_of(attributes)) : null);
  const on_click = (event: Event) => {
    const one = part_of(event);
    if (one && pick) pick(part_id(one, attributes));
  };
  const on_key = (event: KeyboardEvent) => {
    const one = part_of(event);
    const svg = box.current?.querySelector("svg");
    const step = key_steps[event.key];
    if (!one || !svg || !pick) return;
    if (event.key === "Enter" || event.key === " ") on_click(event);
    else if (step !== undefined) move_focus(svg, one, step, attributes);
    else return;
    event.preventDefault();
  };
  return (
    <>
      <div class="drawing-box" data-ink={ink} ref={box} onClick={on_click} onKeyDown={on_key} />
      <Problems list={problems} />
    </>
  );
}
