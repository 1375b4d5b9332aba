// Gather: tables in, laid over each other; what they disagree about; what each module was made for.

import { useState } from "preact/hooks";
import type { Graft, Module } from "../api_types";
import { candidates, found_module } from "../model/document";
import { doc } from "../net/graft";
import { AddTable } from "./gather_add";
import { Disagreements } from "./gather_disagree";
import { ModuleSheet } from "./gather_module";

function Next({ graft }: { graft: Graft }) {
  if (!found_module(graft)) {
    return (
      <p class="lead">
        Begin with the vehicle's own module: paste its pin table from a manual, a forum or a spreadsheet, as untidy as it is. You will see
        column by column what was understood.
      </p>
    );
  }
  if (candidates(graft).length === 0) {
    return <p class="lead">Now the donor: the pin table of the module that is to go in. Several candidates are ranked later.</p>;
  }
  return null;
}

export function Gather() {
  const graft = doc.value;
  const [adding, set_adding] = useState(false);
  if (!graft) return null;
  const modules: Module[] = graft.modules ?? [];
  const open = adding || modules.length === 0;
  return (
    <div class="stack">
      <Next graft={graft} />
      {!open && (
        <div class="buttons">
          <button type="button" class="first" onClick={() => set_adding(true)}>
            Add a table
          </button>
        </div>
      )}
      {open && <AddTable graft={graft} done={() => set_adding(false)} />}
      <Disagreements graft={graft} />
      {modules.map((module) => (
        <ModuleSheet key={module.id} graft={graft} module={module} />
      ))}
    </div>
  );
}
