// A drawing cut into sheets for the printer: each sheet is a page of its own size (styles/print.css).

import { useEffect, useRef } from "preact/hooks";
import { drawing_of } from "../net/drawing";
import { use_markup } from "./drawing";
import { Problems } from "./problems";

export const papers = [
  ["a4", "A4 landscape"],
  ["a4-portrait", "A4 portrait"],
  ["a3", "A3 landscape"],
  ["a3-portrait", "A3 portrait"],
] as const;
export type PaperName = (typeof papers)[number][0];

export const paper_query: Record<PaperName, Record<string, string>> = {
  a4: { paper: "a4" },
  "a4-portrait": { paper: "a4", portrait: "1" },
  a3: { paper: "a3" },
  "a3-portrait": { paper: "a3", portrait: "1" },
};

export function PrintedSheets({ path, paper, label }: { path: string; paper: PaperName; label: string }) {
  const box = useRef<HTMLDivElement>(null);
  const { path: shown, markup, problems } = use_markup(path);
  useEffect(() => {
    const drawing = markup ? drawing_of(markup) : null;
    const sheets = Array.from(drawing?.querySelectorAll<SVGSVGElement>("svg.paper") ?? []);
    for (const sheet of sheets) {
      sheet.removeAttribute("y");
      sheet.setAttribute("width", `${sheet.getAttribute("width") ?? ""}mm`);
      sheet.setAttribute("height", `${sheet.getAttribute("height") ?? ""}mm`);
    }
    box.current?.replaceChildren(...sheets);
  }, [markup]);
  const ready = shown === path && (markup !== "" || problems.length > 0);
  return (
    <section aria-label={label}>
      <div class={`drawing-box printed-sheets printed-${paper}`} data-ink={ready ? "chosen" : "waiting"} ref={box} />
      <Problems list={problems} />
    </section>
  );
}
