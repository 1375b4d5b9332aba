// One module: its sources, what it was made for, its cavities plug by plug.

import { useState } from "preact/hooks";
import { type Connector, type Graft, type Json, type Module, type Pin, type TagName, tag_names } from "../api_types";
import { connector_name, connectors_of, module_name, source_title } from "../model/document";
import { pointer } from "../model/patch";
import { class_text } from "../model/pin_classes";
import { change } from "../net/edit";
import { Field } from "../parts/field";
import { Wire } from "../parts/wire";
import { ModuleTools } from "./gather_module_tools";
import { PinTable } from "./gather_pins";
import { PlugShapeEditor } from "./gather_plug_shape";

const role_text = { found: "the vehicle's own", donor: "the donor", other: "a candidate" };
const tags: Record<TagName, { label: string; hint: string }> = {
  generation: { label: "Generation", hint: "G2" },
  diagnostics: { label: "Diagnostics", hint: "OBD-II" },
  years: { label: "Years", hint: "2000-2003" },
  market: { label: "Market", hint: "EU" },
  transmission: { label: "Transmission", hint: "manual" },
  board: { label: "Board", hint: "number on the board" },
};

function set_tag(module: Module, name: TagName, value: string): void {
  void change(`${tags[name].label} of ${module_name(module)}`, (now) => {
    const index = (now.modules ?? []).findIndex((one) => one.id === module.id);
    const changed = { ...now.modules?.[index]?.tags, [name]: value };
    if (value === "") delete changed[name];
    return [
      { op: "test", path: pointer("modules", index, "id"), value: module.id },
      { op: "add", path: pointer("modules", index, "tags"), value: changed as Json },
    ];
  });
}

function sources_of(graft: Graft, module: Module): string[] {
  const ids = new Set((module.pins ?? []).flatMap((pin) => (pin.claims ?? []).map((claim) => claim.source ?? "")));
  return [...ids].filter(Boolean).map((id) => source_title(graft, id));
}

function PinRows({ pins }: { pins: Pin[] }) {
  return (
    <div class="scroll long" tabIndex={0} role="region" aria-label="Cavities">
      <table>
        <thead>
          <tr>
            <th scope="col">Cavity</th>
            <th scope="col">Signal</th>
            <th scope="col">Wire</th>
            <th scope="col">Type</th>
            <th scope="col">Goes to</th>
          </tr>
        </thead>
        <tbody>
          {pins.map((pin) => (
            <tr key={pin.cavity}>
              <th scope="row">{pin.cavity}</th>
              <td>
                {pin.signal || <span class="soft">no wire</span>}
                {pin.forbidden && <strong> not for this tool</strong>}
              </td>
              <td>
                <Wire colour={pin.colour} />
              </td>
              <td>{class_text(pin.class)}</td>
              <td>{pin.far_end}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function ShapeFold({ graft, plug }: { graft: Graft; plug: Connector }) {
  const [open, set_open] = useState(false);
  return (
    <details onToggle={(event) => set_open(event.currentTarget.open)}>
      <summary>Shape of plug {connector_name(plug)}: rows, view, latch</summary>
      {open && <PlugShapeEditor graft={graft} plug={plug} />}
    </details>
  );
}

// The rows are rendered when a person opens them: a thousand closed rows would make every edit slow.
function Plug({ graft, plug, pins }: { graft: Graft; plug: Connector; pins: Pin[] }) {
  const [open, set_open] = useState(false);
  return (
    <details onToggle={(event) => set_open(event.currentTarget.open)}>
      <summary>
        {connector_name(plug)} · {pins.length} cavities
        {[plug.housing_colour, plug.part].filter(Boolean).map((one) => ` · ${one}`)}
      </summary>
      {open && <ShapeFold graft={graft} plug={plug} />}
      {open && <PinRows pins={pins} />}
    </details>
  );
}

export function ModuleSheet({ graft, module }: { graft: Graft; module: Module }) {
  const name = module_name(module);
  const [editing, set_editing] = useState(false);
  return (
    <section class="sheet stack" aria-label={name}>
      <header>
        <h2>{name}</h2>
        <p class="soft">
          {role_text[module.role ?? "other"]} · {(module.pins ?? []).length} cavities · from{" "}
          {sources_of(graft, module).join(" and ") || "no source"}
        </p>
      </header>
      <div class="tags">
        {tag_names.map((tag) => (
          <Field
            key={tag}
            label={tags[tag].label}
            value={module.tags?.[tag] ?? ""}
            hint={tags[tag].hint}
            keep={`${module.id}.${tag}`}
            take={(value) => set_tag(module, tag, value)}
          />
        ))}
      </div>
      <ModuleTools graft={graft} module={module} />
      <div class="buttons">
        <button type="button" aria-pressed={editing} onClick={() => set_editing(!editing)}>
          Edit pins
        </button>
      </div>
      {editing && <PinTable graft={graft} module={module} />}
      {!editing &&
        connectors_of(graft, module).map((plug) => {
          const pins = (module.pins ?? []).filter((pin) => pin.connector === plug.id);
          return <Plug key={plug.id} graft={graft} plug={plug} pins={pins} />;
        })}
    </section>
  );
}
