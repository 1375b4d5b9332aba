// The wire or device that is picked in the diagram: what is known about it, and where it is edited.

import type { ComponentChildren } from "preact";
import type { Device, Graft, Wire as WireFact } from "../api_types";
import { kind_of } from "../model/device_kinds";
import { find_wire, type LocatedWire } from "../model/document";
import { length_text } from "../model/lengths";
import { device_name, end_name, find_device, place_name, wire_name } from "../model/names";
import { size_text } from "../model/sizes";
import { graft as open_graft } from "../net/graft";
import { Wire } from "../parts/wire";
import { route_to } from "../route";
import { length_unit, units } from "../settings";

type End = "from" | "to";

interface Props {
  graft: Graft;
  id: string;
  drawn: boolean; // in the drawing that is shown
  close: () => void;
  to_end: (end: End) => void;
}

function Links({ loom, circuit }: { loom: Record<string, string>; circuit: Record<string, string> }) {
  const name = open_graft.value?.name ?? "";
  return (
    <p class="buttons no-print">
      <a class="button" href={route_to(name, "loom", loom)}>
        Edit
      </a>
      <a class="button" href={route_to(name, "circuits", circuit)}>
        Circuit card
      </a>
    </p>
  );
}

function Panel({ name, drawn, close, children }: Pick<Props, "drawn" | "close"> & { name: string; children: ComponentChildren }) {
  return (
    <section class="sheet stack picked-part no-print" aria-label="The picked part" aria-live="polite">
      <div class="picked-head">
        <h2>{name}</h2>
        <button type="button" onClick={close}>
          Close
        </button>
      </div>
      {!drawn && <p class="doubt">It is not in this drawing: choose another state of the loom.</p>}
      {children}
    </section>
  );
}

function WireEnd({ graft, wire, end, drawn, to_end }: { graft: Graft; wire: WireFact; end: End } & Pick<Props, "drawn" | "to_end">) {
  const name = end_name(graft, wire[end]);
  if (!drawn) return <>{name}</>;
  return (
    <button type="button" class="end-button" onClick={() => to_end(end)} aria-label={`Show the end at ${name}`}>
      {name}
    </button>
  );
}

// What the plan does with it.
function plan_text(graft: Graft, { wire, added }: LocatedWire): string {
  if (added) return "new";
  const step = graft.plan?.find((one) => one.wire === wire.id);
  if (step?.action === "retire") return "taken out";
  return step?.to ? `moves to ${end_name(graft, step.to)}` : "stays as it is";
}

const along_text = (graft: Graft, wire: WireFact): string => (wire.along ?? []).map((id) => place_name(graft, id)).join(", ");

function PickedWire({ graft, located, ...props }: Omit<Props, "id"> & { located: LocatedWire }) {
  const { wire } = located;
  return (
    <Panel name={wire_name(graft, wire)} drawn={props.drawn} close={props.close}>
      <dl>
        <dt>From</dt>
        <dd>
          <WireEnd graft={graft} wire={wire} end="from" {...props} />
        </dd>
        <dt>To</dt>
        <dd>
          <WireEnd graft={graft} wire={wire} end="to" {...props} />
        </dd>
        <dt>Colour</dt>
        <dd>
          <Wire colour={wire.colour} />
        </dd>
        <dt>Size</dt>
        <dd>{size_text(wire.area_mm2, units.value)}</dd>
        <dt>Length</dt>
        <dd>{wire.length_mm === undefined ? "not measured" : length_text(wire.length_mm, length_unit.value)}</dd>
        <dt>Along</dt>
        <dd>{along_text(graft, wire) || "not stated"}</dd>
        <dt>Plan</dt>
        <dd>{plan_text(graft, located)}</dd>
      </dl>
      <Links loom={{ table: "wires", row: wire.id }} circuit={{ wire: wire.id }} />
    </Panel>
  );
}

function PickedDevice({ graft, device, ...props }: Omit<Props, "id"> & { device: Device }) {
  return (
    <Panel name={device_name(graft, device.id)} drawn={props.drawn} close={props.close}>
      <dl>
        <dt>Kind</dt>
        <dd>{kind_of(device.kind)?.text ?? "not stated"}</dd>
        <dt>Place</dt>
        <dd>{device.place ? place_name(graft, device.place) : "not stated"}</dd>
      </dl>
      <Links loom={{ table: "devices", row: device.id }} circuit={{ device: device.id }} />
    </Panel>
  );
}

export function PickedPart({ graft, id, ...props }: Props) {
  const located = find_wire(graft, id);
  if (located) return <PickedWire graft={graft} located={located} {...props} />;
  const device = find_device(graft, id);
  return device ? <PickedDevice graft={graft} device={device} {...props} /> : null;
}
