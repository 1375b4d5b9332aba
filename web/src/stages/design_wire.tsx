// One wire of a circuit: its size (stated, or the least that holds), length, insulation, and what they lead to.

import { useState } from "preact/hooks";
import type { Graft, WireDesign } from "../api_types";
import { find_wire, name_of_place } from "../model/document";
import { insulation_names } from "../model/insulation";
import { state } from "../model/measured";
import { size_words, sizes_in } from "../model/sizes";
import { change } from "../net/edit";
import { Drawing } from "../parts/drawing";
import { Select } from "../parts/field";
import { Wire } from "../parts/wire";
import { units } from "../settings";
import { figure } from "./compare_hazards";
import { MeasuredField } from "./design_field";

// Drawn when it is asked for: each drawing is a design of its own to the program.
function FuseAgainstWire({ wire, fuse }: { wire: string; fuse: string }) {
  const [open, set_open] = useState(false);
  return (
    <details class="no-print" onToggle={(event) => set_open(event.currentTarget.open)}>
      <summary>{fuse} against this wire</summary>
      {open && (
        <Drawing
          path={`/drawings/time_current?wire=${encodeURIComponent(wire)}`}
          label="Time and current: the fuse and what the wire stands"
          part="data-curve"
        />
      )}
    </details>
  );
}

function Size({ wire }: { wire: WireDesign }) {
  const list = sizes_in(units.value);
  const stated = wire.stated_mm2;
  const own = list.some((size) => size.area_mm2 === stated) || stated === null ? [] : [[String(stated), size_words(stated, units.value)] as const];
  const least = wire.least_mm2 === null ? "no size alone mends it" : `least that holds: ${size_words(wire.least_mm2, units.value)}`;
  const choices = [["", least] as const, ...own, ...list.map((size) => [String(size.area_mm2), size.name] as const)];
  const take = (value: string) =>
    void change(`size of ${wire.wire}`, (now) => state(now, wire.wire, "area_mm2", value === "" ? undefined : Number(value)));
  return <Select label="size" value={stated === null ? "" : String(stated)} choices={choices} take={take} />;
}

function Insulation({ wire }: { wire: WireDesign }) {
  const stated = wire.insulation_assumed ? "" : wire.insulation;
  const choices = [["", `not stated: ${wire.insulation || "the usual"} taken`] as const, ...insulation_names.map((name) => [name, name] as const)];
  const take = (value: string) => void change(`insulation of ${wire.wire}`, (now) => state(now, wire.wire, "insulation", value || undefined));
  return <Select label="insulation" value={stated} choices={choices} take={take} />;
}

export function WireSheet({ doc, wire }: { doc: Graft; wire: WireDesign }) {
  const place = find_wire(doc, wire.wire);
  const ends = place ? [place.wire.from, place.wire.to].map((end) => (end?.at ? `${name_of_place(doc, end.at)} ${end.cavity ?? ""}` : "open")) : [];
  return (
    <li class="design-item">
      <h3>
        <Wire colour={place?.wire.colour} /> {wire.signal || wire.wire}{" "}
        <span class="soft">
          {wire.wire} {ends.length === 2 && `· ${ends[0]} to ${ends[1]}`} {place?.added && "· new"}
        </span>
      </h3>
      <div class="row">
        <Size wire={wire} />
        <MeasuredField
          doc={doc}
          subject={wire.wire}
          member={{ member: "length_mm", unit: "mm", words: "length" }}
          hint={wire.length_assumed && wire.length_mm !== null ? `${wire.length_mm} taken` : ""}
        />
        <Insulation wire={wire} />
      </div>
      <p class="design-figures">
        {figure(wire.current_a, "A")} at most · conductor {figure(wire.conductor_c, "°C")} · outside {figure(wire.outer_diameter_mm, "mm")} · bend no
        tighter than {figure(wire.bend_radius_mm, "mm")}
        {wire.pull_force_n !== null && ` · its crimp stands ${figure(wire.pull_force_n, "N")}`}
      </p>
      {wire.bound_by && (
        <p>
          <strong>Smaller will not do:</strong> {wire.bound_by}
        </p>
      )}
      {wire.fuse !== null && <FuseAgainstWire wire={wire.wire} fuse={name_of_place(doc, wire.fuse)} />}
    </li>
  );
}
