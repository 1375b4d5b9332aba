// Gather: pin tables are added, sources of one module are compared, tags say what each module was made for.

import { useState } from "preact/hooks";
import type { Module } from "../api_types";
import { doc } from "../net/graft";
import { route } from "../route";
import { AddTable, has_table_draft } from "./gather_add_table";
import { Disagreements } from "./gather_disagreements";
import { ModuleSheet } from "./gather_module";
import { SafetyQuestions } from "./gather_safety";

export function Gather() {
  const graft = doc.value;
  const [adding, set_adding] = useState(() => has_table_draft(route.value.graft));
  if (!graft) return null;
  const modules: Module[] = graft.modules ?? [];
  const open = adding || modules.length === 0;
  return (
    <div class="stack">
      {!open && (
        <div class="buttons">
          <button type="button" class="primary" onClick={() => set_adding(true)}>
            Add a table
          </button>
        </div>
      )}
      {open && <AddTable graft={graft} done={() => set_adding(false)} />}
      <SafetyQuestions graft={graft} />
      <Disagreements graft={graft} />
      {modules.map((module) => (
        <ModuleSheet key={module.id} graft={graft} module={module} />
      ))}
    </div>
  );
}
