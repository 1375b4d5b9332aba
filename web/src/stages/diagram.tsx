// The diagram: as found, as planned, or the difference; circuit by circuit, beginning with what the plan adds, or the whole
// loom. Picking a part zooms to it and shows what is known about it. Printed, it is cut into sheets.

import { useEffect, useLayoutEffect, useMemo, useRef, useState } from "preact/hooks";
import type { Graft } from "../api_types";
import { has_loom } from "../findings";
import { diagram_sheets, first_sheet, type Sheet, sheet_with } from "../model/diagram_sheets";
import { all_wires, find_wire, module_name } from "../model/document";
import { find_device, name_of } from "../model/names";
import { doc } from "../net/graft";
import { Drawing } from "../parts/drawing";
import { Choice, Select } from "../parts/field";
import { PanZoom, type PanZoomControls } from "../parts/pan_zoom";
import { black_ink, PrintButton } from "../parts/print";
import { type PaperName, PrintedSheets, paper_query, papers } from "../parts/printed_sheets";
import { Empty } from "../parts/report_status";
import { route, select } from "../route";
import { narrow } from "./compare_face";
import { FindPart } from "./diagram_find";
import { PickedPart } from "./diagram_part";
import { CircuitSteps } from "./diagram_steps";

type Show = "found" | "planned" | "difference";
const shows: readonly (readonly [Show, string])[] = [
  ["found", "as found"],
  ["planned", "as planned"],
  ["difference", "difference"],
];
const inks = [
  ["", "wire colours"],
  ["1", "black and white"],
] as const;

interface Chosen {
  show: Show;
  circuit: string; // "" is the whole loom
  module: string;
  black: string;
  paper: PaperName;
}

// So narrow that its text can be read in the frame without zooming.
const readable_mm = 115;

function path_of(chosen: Chosen, on_paper = false): string {
  const query = new URLSearchParams({ show: chosen.show, ...(on_paper ? paper_query[chosen.paper] : {}) });
  for (const key of ["circuit", "module", "black"] as const) {
    if (chosen[key]) query.set(key, chosen[key]);
  }
  if (chosen.circuit && !on_paper) query.set("width", String(readable_mm));
  return `/drawings/diagram?${query.toString()}`;
}

function chosen_of(query: URLSearchParams, first: string): Chosen {
  const module = query.get("module") ?? "";
  const circuit = query.get("circuit") ?? (module ? "all" : first);
  return {
    show: shows.find(([key]) => key === query.get("show"))?.[0] ?? "difference",
    circuit: circuit === "all" ? "" : circuit,
    module,
    black: query.get("black") ?? "",
    paper: papers.find(([key]) => key === query.get("paper"))?.[0] ?? "a4",
  };
}

function OnPaper({ graft, chosen }: { graft: Graft; chosen: Chosen }) {
  const modules = [["", "all modules"] as const, ...(graft.modules ?? []).map((module) => [module.id, module_name(module)] as const)];
  return (
    <details class="on-paper">
      <summary>{narrow() ? "Module, ink, paper, print" : "Module, ink and paper"}</summary>
      <div class="row">
        <Select
          label="Module"
          value={chosen.module}
          choices={modules}
          take={(module) => select({ module, circuit: module ? "all" : "" })}
        />
        <Choice label="Ink" value={chosen.black ? "1" : ""} choices={inks} take={(black) => select({ black })} />
        <Select label="Paper" value={chosen.paper} choices={papers} take={(paper) => select({ paper })} />
        {narrow() && <PrintButton what="this diagram" />}
      </div>
    </details>
  );
}

// What belongs to a picked part does not step back with the rest: a device's wires, a wire's devices.
function near(graft: Graft, id: string): string[] {
  const wire = find_wire(graft, id)?.wire;
  if (wire) return [wire.from?.at, wire.to?.at].flatMap((at) => at ?? []);
  return all_wires(graft).flatMap(({ id: one, from, to }) => (from?.at === id || to?.at === id ? [one] : []));
}

const part_of = (svg: SVGSVGElement | null, id: string): Element[] =>
  svg && id ? Array.from(svg.querySelectorAll(`[data-wire="${CSS.escape(id)}"], [data-device="${CSS.escape(id)}"]`)) : [];

// What is looked at first: what the circuit is named after, else the first thing that the plan changes.
function focus_of(svg: SVGSVGElement, circuit: string): Element[] {
  const own = part_of(svg, circuit);
  if (own.length > 0) return own;
  const changed = Array.from(svg.querySelectorAll(".added, .moved, .retired"));
  return changed.slice(0, 1).flatMap((wire) => Array.from(wire.querySelectorAll("text")).slice(0, 1));
}

// The first line of a wire's group is the wire, drawn from one end to the other.
function point_of_end(wire: Element | undefined, end: "from" | "to"): DOMPoint | null {
  const path = wire?.querySelector("path");
  const matrix = path?.getScreenCTM();
  if (!path || !matrix) return null;
  return path.getPointAtLength(end === "from" ? 0 : path.getTotalLength()).matrixTransform(matrix);
}

interface Drawn {
  svg: SVGSVGElement | null;
  path: string;
}

// Brings the view to what the address says: the circuit, then the picked part.
function use_view(graft: Graft, sheets: readonly Sheet[], chosen: Chosen, at: string) {
  const { circuit } = chosen;
  const path = path_of(chosen);
  const controls = useRef<PanZoomControls>(null);
  const [{ svg, path: drawn_path }, set_drawn] = useState<Drawn>({ svg: null, path: "" });
  const opened = useRef("");
  const open = () => {
    if (svg) controls.current?.open_at(focus_of(svg, circuit), circuit ? near(graft, circuit).flatMap((id) => part_of(svg, id)) : []);
  };
  // First the circuit that the part belongs to, then its own.
  const go_to_sheet = () => {
    if (!find_wire(graft, at) && !find_device(graft, at)) return;
    const sheet = sheet_with(graft, sheets, at);
    const next = circuit === sheet ? at : sheet;
    if (circuit !== at) select({ circuit: next, module: "" });
  };
  useLayoutEffect(() => {
    // The drawing of before stays until the next one is there.
    if (!svg || drawn_path !== path) return;
    // The same drawing after an edit leaves the view as it is.
    if (opened.current !== path) open();
    opened.current = path;
    const parts = part_of(svg, at);
    if (parts.length > 0) controls.current?.zoom_to(parts);
    else if (at) go_to_sheet();
  }, [svg, at]);
  const to_end = (end: "from" | "to") => {
    const point = point_of_end(part_of(svg, at)[0], end);
    if (point) controls.current?.centre_on(point.x, point.y);
  };
  const forget = () => {
    opened.current = "";
  };
  const drawn = (drawing: SVGSVGElement | null, of: string) => set_drawn({ svg: drawing, path: of });
  return { controls, drawn, open, forget, to_end, has_part: part_of(svg, at).length > 0 };
}

// Wherever the focus is, unless Escape is meant for a dialog or clears what was typed.
function use_escape(active: boolean, act: () => void): void {
  useEffect(() => {
    if (!active) return;
    const on_key = (event: KeyboardEvent) => {
      const typed = event.target instanceof HTMLInputElement && event.target.value !== "";
      if (event.key === "Escape" && !typed && !event.defaultPrevented && !document.querySelector("dialog[open]")) act();
    };
    window.addEventListener("keydown", on_key);
    return () => window.removeEventListener("keydown", on_key);
  });
}

function Ready({ graft }: { graft: Graft }) {
  const query = route.value.query;
  const sheets = useMemo(() => diagram_sheets(graft), [graft]);
  const chosen = chosen_of(query, first_sheet(sheets));
  const at = query.get("at") ?? "";
  const view = use_view(graft, sheets, chosen, at);
  const close = () => {
    select({ at: "" });
    view.open();
  };
  use_escape(at !== "", close);
  if (black_ink.value) {
    view.forget(); // the frame is made anew afterwards
    return <PrintedSheets path={path_of(chosen, true)} paper={chosen.paper} label="Circuit diagram on paper" />;
  }
  const pick = (id: string) => (id === at ? close() : select({ at: id }));
  const heading = chosen.circuit ? name_of(graft, chosen.circuit) : "";
  return (
    <div class="stack diagram-stage">
      <div class="row no-print">
        <CircuitSteps
          sheets={sheets}
          chosen={chosen.circuit}
          name={heading}
          choose={(circuit) => select({ circuit, at: "", module: "" })}
        />
        <Choice label="The loom" value={chosen.show} choices={shows} take={(show) => select({ show })} />
        {!narrow() && <PrintButton what="this diagram" />}
      </div>
      <div class="diagram-columns">
        <section class="sheet diagram" aria-label="Diagram">
          <PanZoom label="Diagram" controls={view.controls} readable={view.open}>
            <Drawing
              path={path_of(chosen)}
              label={heading ? `Circuit diagram: ${heading}` : "Circuit diagram"}
              heading={heading}
              part="data-wire"
              also={["data-device"]}
              highlighted={at ? [at] : []}
              near={at ? near(graft, at) : []}
              dim
              pick={pick}
              drawn={view.drawn}
            />
          </PanZoom>
        </section>
        <div class="diagram-side stack">
          {at && <PickedPart graft={graft} id={at} drawn={view.has_part} close={close} to_end={view.to_end} />}
          <FindPart graft={graft} at={at} pick={pick} />
          <OnPaper graft={graft} chosen={chosen} />
        </div>
      </div>
    </div>
  );
}

export function DiagramStage() {
  const graft = doc.value;
  if (!graft) return null;
  if (!has_loom(graft)) {
    return (
      <Empty title="No wires to draw yet" first="compare">
        <p>Make the comparison the plan (Compare). Then the loom as found, as planned and the difference are drawn here.</p>
      </Empty>
    );
  }
  return <Ready graft={graft} />;
}
