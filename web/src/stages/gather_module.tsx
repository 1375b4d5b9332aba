// One module: its sources, what it was made for, its cavities plug by plug.

import { useState } from "preact/hooks";
import { tag_names, type Connector, type Graft, type Json, type Module, type Pin, type TagName } from "../api_types";
import { kind_words } from "../model/answers";
import { connector_name, connectors_of, module_name, source_title } from "../model/document";
import { pointer } from "../model/patch";
import { change } from "../net/edit";
import { Field } from "../parts/field";
import { Wire } from "../parts/wire";

const role_words = { found: "the vehicle's own", donor: "the donor", other: "a candidate" };
const tag_hints: Record<TagName, string> = {
  generation: "G2",
  diagnostics: "OBD-II",
  years: "2000-2003",
  market: "EU",
  transmission: "manual",
  board: "number on the board",
};

function set_tag(module: Module, name: TagName, value: string): void {
  void change(`${name} of ${module_name(module)}`, (now) => {
    const index = (now.modules ?? []).findIndex((one) => one.id === module.id);
    const tags = { ...now.modules?.[index]?.tags, [name]: value };
    if (value === "") delete tags[name];
    return [
      { op: "test", path: pointer("modules", index, "id"), value: module.id },
      { op: "add", path: pointer("modules", index, "tags"), value: tags as Json },
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
            <th scope="col">Kind</th>
            <th scope="col">Goes to</th>
          </tr>
        </thead>
        <tbody>
          {pins.map((pin) => (
            <tr key={pin.cavity}>
              <th scope="row">{pin.cavity}</th>
              <td>
                {pin.signal || <span class="soft">no wire</span>}
                {pin.forbidden && <strong> never touched by this tool</strong>}
              </td>
              <td>
                <Wire colour={pin.colour} />
              </td>
              <td>{kind_words(pin.class)}</td>
              <td>{pin.far_end}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

// The rows are made when a person opens them: a page with a thousand closed rows would follow edits slowly.
function Plug({ plug, pins }: { plug: Connector; pins: Pin[] }) {
  const [open, set_open] = useState(false);
  return (
    <details onToggle={(event) => set_open(event.currentTarget.open)}>
      <summary>
        {connector_name(plug)} · {pins.length} cavities
        {[plug.housing_colour, plug.part].filter(Boolean).map((word) => ` · ${word}`)}
      </summary>
      {open && <PinRows pins={pins} />}
    </details>
  );
}

export function ModuleSheet({ graft, module }: { graft: Graft; module: Module }) {
  const name = module_name(module);
  return (
    <section class="sheet stack" aria-label={name}>
      <header>
        <h2>{name}</h2>
        <p class="soft">
          {role_words[module.role ?? "other"]} · {(module.pins ?? []).length} cavities · from {sources_of(graft, module).join(" and ") || "no source"}
        </p>
      </header>
      <div class="tags">
        {tag_names.map((tag) => (
          <Field key={tag} label={tag[0]?.toUpperCase() + tag.slice(1)} value={module.tags?.[tag] ?? ""} hint={tag_hints[tag]} take={(value) => set_tag(module, tag, value)} />
        ))}
      </div>
      {connectors_of(graft, module).map((plug) => {
        const pins = (module.pins ?? []).filter((pin) => pin.connector === plug.id);
        return (
          <Plug key={plug.id} plug={plug} pins={pins} />
        );
      })}
    </section>
  );
}
