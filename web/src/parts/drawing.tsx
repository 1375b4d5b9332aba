// A drawing of the program in the page. Its parts can be lit up, and picked by pointer and by keys: one stop for the
// Tab key, arrows from part to part.

import { useLayoutEffect, useRef, useState } from "preact/hooks";
import type { Problem } from "../api_types";
import { ask_text, graft_path, type Result } from "../net/answer";
import { drawing_of } from "../net/drawing";
import { graft } from "../net/graft";
import { black_ink } from "./print";
import { Problems } from "./problems";

interface Props {
  path: string; // below the graft: "/drawings/face/C1?side=both"
  label: string;
  part: string; // attribute that names a part: "data-cavity"
  lit?: string[];
  pick?: (part: string, attribute: string) => void;
  also?: string[]; // further attributes that name parts
  children?: never;
}

interface Kept {
  revision: number;
  markup: string;
}

// More than the faces of one plan, which must all be there when the link is gone.
const most_drawn = 200;
const drawn = new Map<string, Kept>();

function keep_drawing(key: string, kept: Kept): void {
  drawn.delete(key);
  const oldest = drawn.keys().next().value;
  if (drawn.size >= most_drawn && oldest !== undefined) drawn.delete(oldest);
  drawn.set(key, kept);
}

function parts_in(svg: SVGSVGElement, attributes: string[]): SVGElement[] {
  return Array.from(svg.querySelectorAll<SVGElement>(attributes.map((name) => `[${name}]`).join(",")));
}

const name_of = (part: Element, attributes: string[]): [string, string] => {
  for (const attribute of attributes) {
    const value = part.getAttribute(attribute);
    if (value !== null) return [value, attribute];
  }
  return ["", ""];
};

function make_pickable(svg: SVGSVGElement, attributes: string[]): void {
  parts_in(svg, attributes).forEach((part, index) => {
    part.setAttribute("role", "button");
    part.setAttribute("tabindex", index === 0 ? "0" : "-1");
    // Its own title or text names it; only what has neither is named by its id.
    if (!part.textContent?.trim()) part.setAttribute("aria-label", name_of(part, attributes)[0]);
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

const steps: Record<string, number> = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };

interface Drawn {
  path: string;
  markup: string;
  problems: Problem[];
}

const under_way = new Map<string, Promise<Result<string>>>();

// One request for a drawing of one revision, whoever asks for it.
function fetch_drawing(key: string, name: string, path: string, revision: number): Promise<Result<string>> {
  const which = `${revision} ${key}`;
  const before = under_way.get(which);
  if (before) return before;
  const answer = ask_text(graft_path(name, path)).then((told) => {
    under_way.delete(which);
    if (told.ok) keep_drawing(key, { revision, markup: told.value });
    return told;
  });
  under_way.set(which, answer);
  return answer;
}

// What was drawn last stays until the next drawing is there.
export function use_markup(path: string): Drawn {
  const open = graft.value;
  const name = open?.name ?? "";
  const revision = open?.revision ?? 0;
  const key = `${name} ${path}`;
  const [state, set_state] = useState<Drawn>({ path: "", markup: "", problems: [] });
  useLayoutEffect(() => {
    const have = drawn.get(key);
    if (have) set_state({ path, markup: have.markup, problems: [] });
    if (have?.revision === revision) return;
    let gone = false;
    void fetch_drawing(key, name, path, revision).then((answer) => {
      if (!gone) set_state(answer.ok ? { path, markup: answer.value, problems: [] } : { path, markup: "", problems: answer.problems });
    });
    return () => {
      gone = true;
    };
  }, [key, revision]);
  return state;
}

// Fetched ahead, for when the link is gone or because it will be wanted soon.
export function fetch_ahead(path: string): void {
  const { name = "", revision = 0 } = graft.value ?? {};
  const key = `${name} ${path}`;
  if (name && drawn.get(key)?.revision !== revision) void fetch_drawing(key, name, path, revision);
}

export function Drawing({ path, label, part, lit = [], pick, also = [] }: Props) {
  const box = useRef<HTMLDivElement>(null);
  const wanted = black_ink.value && !path.includes("black=1") ? `${path}${path.includes("?") ? "&" : "?"}black=1` : path;
  const { path: shown, markup, problems } = use_markup(wanted);
  const ink = shown.includes("black=1") || problems.length > 0 ? "black" : "colour";
  const attributes = [part, ...also];
  const lit_key = lit.join("\n");

  useLayoutEffect(() => {
    const svg = markup ? drawing_of(markup) : null;
    if (!svg || !box.current) return box.current?.replaceChildren();
    svg.setAttribute("role", pick ? "group" : "img");
    svg.setAttribute("aria-label", label);
    svg.classList.add("drawing");
    if (pick) make_pickable(svg, attributes);
    box.current.replaceChildren(svg);
  }, [markup, label, part]);

  useLayoutEffect(() => {
    const svg = box.current?.querySelector("svg");
    if (!svg) return;
    const wanted = new Set(lit);
    for (const one of parts_in(svg, attributes)) {
      one.classList.toggle("lit", attributes.some((name) => wanted.has(one.getAttribute(name) ?? "\n")));
    }
  }, [markup, lit_key, part]);

  const target = (event: Event): Element | null =>
    event.target instanceof Element ? event.target.closest(attributes.map((name) => `[${name}]`).join(",")) : null;
  const choose = (event: Event) => {
    const one = target(event);
    if (one && pick) pick(...name_of(one, attributes));
  };
  const keys = (event: KeyboardEvent) => {
    const one = target(event);
    const svg = box.current?.querySelector("svg");
    const step = steps[event.key];
    if (!one || !svg || !pick) return;
    if (event.key === "Enter" || event.key === " ") choose(event);
    else if (step !== undefined) move_focus(svg, one, step, attributes);
    else return;
    event.preventDefault();
  };
  return (
    <>
      <div class="drawing-box" data-ink={ink} ref={box} onClick={choose} onKeyDown={keys} />
      <Problems list={problems} />
    </>
  );
}
