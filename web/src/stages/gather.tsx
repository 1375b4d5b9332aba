// Gather: pin tables are added, sources of one module are compared, tags say what each module was made for.

import { useState } from "preact/hooks";
import type { Graft, Module } from "../api_types";
import { candidates, found_module } from "../model/document";
import { doc } from "../net/graft";
import { AddTable } from "./gather_add_table";
import { Disagreements } from "./gather_disagreements";
import { ModuleSheet } from "./gather_module";

function NextStep({ graft }: { graft: Graft }) {
  if (!found_module(graft)) {
    return (
      <p class="lead" data-next="found">
        Begin with the vehicle's own module: paste its pin table from a manual, a forum or a spreadsheet, however untidy it is. The page
        shows what it read, column by column.
      </p>
    );
  }
  if (candidates(graft).length === 0) {
    return (
      <p class="lead" data-next="donor">
        Now add the donor: the pin table of the module that you want to fit. If you have several candidates, add them all; they are ranked
        later.
      </p>
    );
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
      <NextStep graft={graft} />
      {!open && (
        <div class="buttons">
          <button type="button" class="primary" onClick={() => set_adding(true)}>
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
