// One wire of a circuit: its size (stated, or the smallest that passes), length, insulation, and what follows from them.

import { useState } from "preact/hooks";
import type { Graft, WireDesign } from "../api_types";
import { find_wire } from "../model/document";
import { insulation_names } from "../model/insulation";
import { length_member, set_fact, subject_text } from "../model/measured";
import { device_name, name_of, wire_ends } from "../model/names";
import { size_text, sizes_in } from "../model/sizes";
import { figure } from "../model/units";
import { change } from "../net/edit";
import { Drawing } from "../parts/drawing";
import { Select } from "../parts/field";
import { Wire } from "../parts/wire";
import { units } from "../settings";
import { MeasuredField } from "./measured_field";

// Drawn when opened: the program makes a whole design for each of these drawings.
function FuseProtection({ wire, fuse }: { wire: string; fuse: string }) {
  const [open, set_open] = useState(false);
  return (
    <details class="no-print" onToggle={(event) => set_open(event.currentTarget.open)}>
      <summary>Does {fuse} protect this wire?</summary>
      {open && (
        <Drawing
          path={`/drawings/time_current?wire=${encodeURIComponent(wire)}`}
          label="Time and current: the fuse, and what the wire withstands"
          part="data-curve"
        />
      )}
    </details>
  );
}

function Size({ doc, wire }: { doc: Graft; wire: WireDesign }) {
  const list = sizes_in(units.value);
  const stated = wire.stated_mm2;
  const own =
    list.some((size) => size.area_mm2 === stated) || stated === null ? [] : [[String(stated), size_text(stated, units.value)] as const];
  const smallest =
    wire.smallest_mm2 === null ? "no size alone is enough" : `smallest that passes: ${size_text(wire.smallest_mm2, units.value)}`;
  const choices = [["", smallest] as const, ...own, ...list.map((size) => [String(size.area_mm2), size.name] as const)];
  const save = (value: string) =>
    void change(`size of ${subject_text(doc, wire.wire)}`, (now) =>
      set_fact(now, wire.wire, "area_mm2", value === "" ? undefined : Number(value)),
    );
  return <Select label="size" value={stated === null ? "" : String(stated)} choices={choices} take={save} />;
}

function Insulation({ doc, wire }: { doc: Graft; wire: WireDesign }) {
  const stated = wire.insulation_assumed ? "" : wire.insulation;
  const choices = [
    ["", wire.insulation ? `not stated, default: ${wire.insulation}` : "not stated"] as const,
    ...insulation_names.map((name) => [name, name] as const),
  ];
  const save = (value: string) =>
    void change(`insulation of ${subject_text(doc, wire.wire)}`, (now) => set_fact(now, wire.wire, "insulation", value || undefined));
  return <Select label="insulation" value={stated} choices={choices} take={save} />;
}

export function WireSheet({ doc, wire }: { doc: Graft; wire: WireDesign }) {
  const located = find_wire(doc, wire.wire);
  return (
    <li class="design-item">
      <h3>
        <Wire colour={located?.wire.colour} /> {wire.signal || name_of(doc, wire.wire)}{" "}
        <span class="soft">
          {located && wire_ends(doc, located.wire)} {located?.added && "· new"}
        </span>
      </h3>
      <div class="row">
        <Size doc={doc} wire={wire} />
        <MeasuredField
          doc={doc}
          subject={wire.wire}
          member={length_member}
          hint={wire.length_assumed && wire.length_mm !== null ? `${wire.length_mm} assumed` : ""}
        />
        <Insulation doc={doc} wire={wire} />
      </div>
      <p class="design-figures">
        {figure(wire.current_a, "A")} at most · conductor {figure(wire.conductor_c, "°C")} · outside {figure(wire.outer_diameter_mm, "mm")}{" "}
        · bend no tighter than {figure(wire.bend_radius_mm, "mm")}
        {wire.pull_force_n !== null && ` · crimp pull-out force ${figure(wire.pull_force_n, "N")}`}
      </p>
      {wire.limited_by && (
        <p class="limited-by">
          <strong>Why not smaller:</strong> {wire.limited_by}
        </p>
      )}
      {wire.fuse !== null && <FuseProtection wire={wire.wire} fuse={device_name(doc, wire.fuse)} />}
    </li>
  );
}
