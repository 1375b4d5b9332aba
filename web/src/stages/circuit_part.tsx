// A part or wire of a circuit, opened by a tap: its facts to set, and what can be put into it.

import type { CircuitDesign, Device, Graft } from "../api_types";
import { wire_design } from "../model/circuit_cards";
import { letters } from "../model/colours";
import { device_models, is_fuse, kind_text } from "../model/device_kinds";
import { all_wires, find_wire } from "../model/document";
import { area_member, device_members, length_member, set_fact } from "../model/measured";
import { end_name } from "../model/names";
import { size_text, sizes_in } from "../model/sizes";
import { change_circuit } from "../net/circuits";
import { change } from "../net/edit";
import { Field, Select } from "../parts/field";
import { units } from "../settings";
import { MeasuredField } from "./measured_field";

interface Props {
  graft: Graft;
  subject: string; // "wire:ID" or "device:ID"
  designs: readonly CircuitDesign[];
  done: () => void;
}

// Which figures of a kind people read off or measure.
const figures_of: Record<string, readonly string[]> = {
  fuse: ["rating_a"],
  fusible_link: ["rating_a"],
  relay: ["resistance_ohm", "pull_in_v", "rating_a"],
  resistor: ["resistance_ohm"],
  splice: [],
  earth: [],
  open_end: [],
};
const usual_figures = ["resistance_ohm", "current_a"];

function set_text(what: string, id: string, member: string, value: string): void {
  void change(what, (now) => set_fact(now, id, member, value || undefined));
}

const is_earth = (graft: Graft, id: string | undefined) =>
  graft.devices?.some((device) => device.id === id && device.kind === "earth") ?? false;

const has_earth = (graft: Graft, id: string): boolean =>
  all_wires(graft).some(
    (wire) => (wire.from?.at === id && is_earth(graft, wire.to?.at)) || (wire.to?.at === id && is_earth(graft, wire.from?.at)),
  );

// A fuse, earth, joint or relay of the vehicle instead of a new one.
function UseExisting({ graft, device }: { graft: Graft; device: Device }) {
  const others = (graft.devices ?? []).filter((one) => one.kind === device.kind && one.id !== device.id);
  if (others.length === 0) return null;
  const name = device.name || device.id;
  const text = (one: Device) => `${one.name || one.id}${one.rating_a ? `, ${one.rating_a} A` : ""}`;
  return (
    <Select
      label={`use one that is there instead of ${name}`}
      value=""
      choices={[["", "choose …"] as const, ...others.map((one) => [one.id, text(one)] as const)]}
      take={(other) => void (other && change_circuit(`${name} replaced`, { change: "use_existing", device: device.id, other }))}
    />
  );
}

function DevicePart({ graft, device }: { graft: Graft; device: Device }) {
  const kind = device.kind ?? "";
  const name = device.name || device.id;
  const wanted = figures_of[kind] ?? usual_figures;
  const models = is_fuse(kind) ? [] : device_models.filter((model) => model.kind === kind).map((model) => model.name);
  const places = graft.places ?? [];
  return (
    <>
      <h3>
        {name} <span class="soft">{kind_text(kind)}</span>
      </h3>
      <div class="row">
        <Field
          label="name"
          value={device.name ?? ""}
          keep={`${device.id}.name`}
          take={(text) => set_text(`name of ${name}`, device.id, "name", text)}
        />
        {models.length > 0 && (
          <Select
            label="model"
            value={device.model ?? ""}
            choices={[["", "default values"] as const, ...models.map((model) => [model, model] as const)]}
            take={(model) => set_text(`model of ${name}`, device.id, "model", model)}
          />
        )}
        {device_members
          .filter((member) => wanted.includes(member.member))
          .map((member) => (
            <MeasuredField key={member.member} doc={graft} subject={device.id} member={member} />
          ))}
        {places.length > 0 && (
          <Select
            label="place"
            value={device.place ?? ""}
            choices={[["", "not stated"] as const, ...places.map((place) => [place.id, place.name || place.id] as const)]}
            take={(place) => set_text(`place of ${name}`, device.id, "place", place)}
          />
        )}
      </div>
      <UseExisting graft={graft} device={device} />
      {has_earth(graft, device.id) && (
        <div class="buttons">
          <button
            type="button"
            onClick={() => void change_circuit(`second earth of ${name}`, { change: "second_earth", device: device.id })}
          >
            Second earth
          </button>
        </div>
      )}
    </>
  );
}

const inserts = [
  ["splice", "Joint"],
  ["connector", "Plug in the wire"],
  ["fuse", "Fuse"],
  ["relay", "Relay"],
] as const;

function Colours({ id, name, base, tracer }: { id: string; name: string; base: string; tracer: string }) {
  const set = (next: { base: string; tracer: string }) =>
    void change(`colour of ${name}`, (now) => {
      const located = find_wire(now, id);
      if (!located) return [];
      const colour = { base: next.base, ...(next.tracer && { tracer: next.tracer }) };
      return [
        { op: "test", path: `${located.pointer}/id`, value: id },
        next.base ? { op: "add", path: `${located.pointer}/colour`, value: colour } : { op: "remove", path: `${located.pointer}/colour` },
      ];
    });
  const choices = [["", "–"] as const, ...letters.map((one) => [one, one] as const)];
  return (
    <>
      <Select label="colour" value={base} choices={choices} take={(value) => set({ base: value, tracer })} />
      {base !== "" && <Select label="tracer" value={tracer} choices={choices} take={(value) => set({ base, tracer: value })} />}
    </>
  );
}

function WirePart({ graft, id, designs }: { graft: Graft; id: string; designs: readonly CircuitDesign[] }) {
  const located = find_wire(graft, id);
  if (!located) return null;
  const { wire } = located;
  const name = wire.signal || "this wire";
  const design = wire_design(designs, id);
  const smallest = design?.smallest_mm2 ? `smallest that passes: ${size_text(design.smallest_mm2, units.value)}` : "not stated";
  const stated = wire.area_mm2 === undefined ? "" : String(wire.area_mm2);
  const list = sizes_in(units.value).map((size) => [String(size.area_mm2), size.name] as const);
  const own = stated === "" || list.some(([value]) => value === stated) ? [] : [[stated, size_text(Number(stated), units.value)] as const];
  const ends = [wire.from, wire.to].map((end) => end_name(graft, end));
  return (
    <>
      <h3>
        {name} <span class="soft">{ends.join(" to ")}</span>
      </h3>
      <div class="row">
        <Colours id={id} name={name} base={wire.colour?.base ?? ""} tracer={wire.colour?.tracer ?? ""} />
        <Select
          label={area_member.text}
          value={stated}
          choices={[["", smallest] as const, ...own, ...list]}
          take={(value) =>
            void change(`size of ${name}`, (now) => set_fact(now, id, area_member.member, value === "" ? undefined : Number(value)))
          }
        />
        <MeasuredField
          doc={graft}
          subject={id}
          member={length_member}
          hint={design?.length_assumed && design.length_mm !== null ? `${design.length_mm} assumed` : ""}
        />
      </div>
      <div class="buttons" role="group" aria-label="Put into this wire">
        <span class="soft">Put into this wire:</span>
        {inserts.map(([part, text]) => (
          <button key={part} type="button" onClick={() => void change_circuit(`${text} in ${name}`, { change: "insert", wire: id, part })}>
            {text}
          </button>
        ))}
      </div>
    </>
  );
}

export function PartEditor({ graft, subject, designs, done }: Props) {
  const id = subject.slice(subject.indexOf(":") + 1);
  const device = subject.startsWith("device:") ? graft.devices?.find((one) => one.id === id) : undefined;
  return (
    <section class="part-editor stack no-print" aria-label="Change this part">
      {device ? <DevicePart graft={graft} device={device} /> : <WirePart graft={graft} id={id} designs={designs} />}
      <div class="buttons">
        <button type="button" onClick={done}>
          Close
        </button>
      </div>
    </section>
  );
}
