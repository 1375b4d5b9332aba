// A module's name and role; it can be copied and removed.

import { useState } from "preact/hooks";
import type { Graft, Module, Role } from "../api_types";
import { module_name } from "../model/document";
import { remove } from "../model/loom_edits";
import { duplicate_module, set_module_name, set_role } from "../model/pin_edits";
import { references_to } from "../model/references";
import { change } from "../net/edit";
import { Field, Select } from "../parts/field";
import { RemoveDialog } from "./loom_remove";

const roles: readonly (readonly [Role, string])[] = [
  ["found", "the vehicle's own"],
  ["donor", "the donor"],
  ["other", "a candidate"],
];

export function ModuleTools({ graft, module }: { graft: Graft; module: Module }) {
  const [leaving, set_leaving] = useState(false);
  const name = module_name(module);
  const ids = new Set([module.id]);
  const take_out = () => {
    set_leaving(false);
    void change(`${name} removed`, (now) => remove(now, "modules", ids));
  };
  return (
    <>
      <div class="row module-tools">
        <Field
          label="Name of the module"
          value={name}
          keep={`${module.id}.name`}
          take={(value) => void change(`name of ${name}`, (now) => set_module_name(now, module.id, value))}
        />
        <Select
          label="It is"
          value={module.role ?? "other"}
          choices={roles}
          take={(role) =>
            void change(`${name} is ${roles.find(([key]) => key === role)?.[1] ?? role}`, (now) => set_role(now, module.id, role))
          }
        />
        <button type="button" onClick={() => void change(`a copy of ${name}`, (now) => duplicate_module(now, module.id))}>
          Duplicate
        </button>
        <button type="button" onClick={() => set_leaving(true)}>
          Remove
        </button>
      </div>
      {leaving && (
        <RemoveDialog what={name} references={references_to(graft, "modules", ids)} take_out={take_out} close={() => set_leaving(false)} />
      )}
    </>
  );
}
