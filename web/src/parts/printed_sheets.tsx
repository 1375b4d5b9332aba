// A drawing cut into sheets, as it goes to the printer: each sheet a page of its own size (styles/print.css).

import { useEffect, useRef } from "preact/hooks";
import { drawing_of } from "../net/drawing";
import { use_markup } from "./drawing";
import { Problems } from "./problems";

export const papers = [
  ["a4", "A4 across"],
  ["a4-upright", "A4 upright"],
  ["a3", "A3 across"],
  ["a3-upright", "A3 upright"],
] as const;
export type PaperName = (typeof papers)[number][0];

export function paper_query(paper: PaperName): Record<string, string> {
  return { paper: paper.slice(0, 2), ...(paper.endsWith("upright") ? { portrait: "1" } : {}) };
}

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
