// The diagram: as found, as planned, or the difference; of a circuit, a module or everything; beside it a list of wires
// and devices. Picking in one highlights in the other. Printed, it is cut into sheets.

import { useState } from "preact/hooks";
import type { Graft, Wire as WireFact } from "../api_types";
import { has_loom } from "../findings";
import { all_wires, colour_letters, module_name, part_name } from "../model/document";
import { size_text } from "../model/sizes";
import { doc } from "../net/graft";
import { Drawing } from "../parts/drawing";
import { Choice, Select } from "../parts/field";
import { PanZoom } from "../parts/pan_zoom";
import { black_ink, PrintButton } from "../parts/print";
import { type PaperName, PrintedSheets, paper_query, papers } from "../parts/printed_sheets";
import { Empty } from "../parts/report_status";
import { Wire } from "../parts/wire";
import { route, select } from "../route";
import { units } from "../settings";
import { narrow } from "./compare_face";

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
  circuit: string;
  module: string;
  black: string;
  paper: PaperName;
}

function path_of(chosen: Chosen, on_paper = false): string {
  const query = new URLSearchParams({ show: chosen.show, ...(on_paper ? paper_query[chosen.paper] : {}) });
  for (const key of ["circuit", "module", "black"] as const) {
    if (chosen[key]) query.set(key, chosen[key]);
  }
  if (narrow() && chosen.circuit && !on_paper) query.set("width", "180");
  return `/drawings/diagram?${query.toString()}`;
}

function circuit_choices(graft: Graft): (readonly [string, string])[] {
  const devices = (graft.devices ?? [])
    .filter((device) => device.kind !== "splice")
    .map((device) => [device.id, device.name || device.id] as const);
  const added = (graft.plan ?? []).flatMap((step) =>
    step.added ? [[step.added.id, `new: ${step.added.signal || step.added.id}`] as const] : [],
  );
  return [["", "all circuits"], ...added, ...devices.sort((a, b) => a[1].localeCompare(b[1], "en"))];
}

function ends_text(graft: Graft, wire: WireFact): string {
  const end = (at: WireFact["from"]) => (at?.at ? `${part_name(graft, at.at)} ${at.cavity ?? ""}`.trim() : "open");
  return `${end(wire.from)} to ${end(wire.to)}`;
}

function Parts({ graft, at, pick }: { graft: Graft; at: string; pick: (id: string) => void }) {
  const [text, set_text] = useState("");
  const wanted = text.toLowerCase();
  const wires = all_wires(graft).filter((wire) =>
    [wire.id, wire.signal ?? "", colour_letters(wire.colour), ends_text(graft, wire)].join(" ").toLowerCase().includes(wanted),
  );
  const devices = (graft.devices ?? []).filter((device) => `${device.id} ${device.name ?? ""}`.toLowerCase().includes(wanted));
  return (
    <section class="sheet parts no-print" aria-label="Wires and devices">
      <label class="field">
        <span class="field-name">Find a wire or device</span>
        <input type="search" value={text} onInput={(event) => set_text(event.currentTarget.value)} />
      </label>
      <div class="parts-list scroll" tabIndex={0} role="region" aria-label="Wires and devices, list">
        <h2>Devices ({devices.length})</h2>
        <ul>
          {devices.map((device) => (
            <li key={device.id}>
              <button type="button" aria-pressed={device.id === at} onClick={() => pick(device.id)}>
                {device.name || device.id}
              </button>
            </li>
          ))}
        </ul>
        <h2>Wires ({wires.length})</h2>
        <ul>
          {wires.map((wire) => (
            <li key={wire.id}>
              <button type="button" aria-pressed={wire.id === at} onClick={() => pick(wire.id)}>
                <Wire colour={wire.colour} />
                <span>
                  {wire.signal || wire.id} <span class="soft">{ends_text(graft, wire)}</span>{" "}
                  {wire.area_mm2 !== undefined && <span class="soft">{size_text(wire.area_mm2, units.value)}</span>}
                </span>
              </button>
            </li>
          ))}
        </ul>
      </div>
    </section>
  );
}

function OnPaper({ chosen }: { chosen: Chosen }) {
  return (
    <>
      <Choice label="Ink" value={chosen.black ? "1" : ""} choices={inks} take={(black) => select({ black })} />
      <Select label="Paper" value={chosen.paper} choices={papers} take={(paper) => select({ paper })} />
      <PrintButton what="this diagram" />
    </>
  );
}

function Ready({ graft }: { graft: Graft }) {
  const query = route.value.query;
  const chosen: Chosen = {
    show: shows.find(([key]) => key === query.get("show"))?.[0] ?? "difference",
    circuit: query.get("circuit") ?? "",
    module: query.get("module") ?? "",
    black: query.get("black") ?? "",
    paper: papers.find(([key]) => key === query.get("paper"))?.[0] ?? "a4",
  };
  if (black_ink.value) return <PrintedSheets path={path_of(chosen, true)} paper={chosen.paper} label="Circuit diagram on paper" />;
  const at = query.get("at") ?? "";
  const pick = (id: string) => select({ at: id === at ? "" : id });
  const modules = [["", "all modules"] as const, ...(graft.modules ?? []).map((module) => [module.id, module_name(module)] as const)];
  return (
    <div class="stack">
      <div class="row no-print">
        <Choice label="The loom" value={chosen.show} choices={shows} take={(show) => select({ show })} />
        <Select label="Circuit" value={chosen.circuit} choices={circuit_choices(graft)} take={(circuit) => select({ circuit })} />
        <Select label="Module" value={chosen.module} choices={modules} take={(module) => select({ module })} />
        {!narrow() && <OnPaper chosen={chosen} />}
      </div>
      {narrow() && (
        <details class="no-print">
          <summary>Ink, paper and printing</summary>
          <div class="row">
            <OnPaper chosen={chosen} />
          </div>
        </details>
      )}
      <div class="columns-two columns-wide">
        <section class="sheet diagram" aria-label="Diagram">
          <PanZoom label="Diagram">
            <Drawing
              path={path_of(chosen)}
              label="Circuit diagram"
              part="data-wire"
              also={["data-device"]}
              highlighted={at ? [at] : []}
              pick={pick}
            />
          </PanZoom>
        </section>
        <Parts graft={graft} at={at} pick={pick} />
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
