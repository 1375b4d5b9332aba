// A table that was read, and the module that it goes to.

import { useState } from "preact/hooks";
import type { ColumnRole, Graft, Module, ReadReport, Role, TableAdded } from "../api_types";
import { show_message } from "../message";
import { found_module, module_name } from "../model/document";
import type { TableInput } from "../model/table_input";
import { post } from "../net/edit";
import { Select } from "../parts/field";
import { LostLines, lost_lines } from "./gather_lost_lines";
import type { Meaning } from "./table_meanings";
import { TableRead } from "./table_read";

interface Props {
  graft: Graft;
  input: TableInput;
  report: ReadReport;
  columns: Record<string, ColumnRole>;
  correct: (head: string, role: ColumnRole) => void;
  mean: (meaning: Meaning) => void;
  done: () => void;
}

function free_id(graft: Graft, base: string): string {
  const taken = new Set((graft.modules ?? []).map((module) => module.id));
  let id = base;
  for (let count = 2; taken.has(id); count += 1) id = `${base}${count}`;
  return id;
}

// Where the table may go: to a new module, or to one that is there, as a further source.
interface Target {
  text: string;
  module: Module | null; // null: a new one
  role: Role;
}

function targets_of(graft: Graft): Target[] {
  const modules = graft.modules ?? [];
  const has_donor = modules.some((module) => module.role === "donor");
  const vehicle: Target = { text: "The vehicle's own module", module: null, role: "found" };
  const donor: Target = { text: "A donor, or a candidate for one", module: null, role: has_donor ? "other" : "donor" };
  const further = modules.map(
    (module): Target => ({
      text: `Another source for ${module_name(module)}`,
      module,
      role: module.role ?? "other",
    }),
  );
  return found_module(graft) ? [donor, ...further] : [vehicle, donor, ...further];
}

export function TablePreview({ graft, input, report, columns, correct, mean, done }: Props) {
  const [index, set_index] = useState(0);
  const [target_index, set_target_index] = useState(0);
  const targets = targets_of(graft);
  const [looked, set_looked] = useState(false);
  const lost = lost_lines(report);
  const table = report.tables[index] ?? report.tables[0];
  const read = <TableRead report={report} index={index} choose={set_index} correct={correct} mean={mean} />;
  if (!table) return read;
  const add = async () => {
    const target = targets[target_index];
    if (!target) return;
    const module = target.module?.id ?? free_id(graft, target.role === "found" ? "found" : "donor");
    const body = { ...input, role: target.role, module, table: index, columns };
    const added = await post<TableAdded>("the table", "/tables", body);
    if (!added) return;
    show_message(`Added: ${table.pins.length} cavities.`);
    done();
  };
  return (
    <div class="stack">
      {read}
      <LostLines lost={lost} answered={looked} answer={set_looked} />
      <Select
        label="Add it as"
        value={String(target_index)}
        choices={targets.map(({ text }, at) => [String(at), text] as const)}
        take={(value) => set_target_index(Number(value))}
      />
      <div class="buttons">
        <button type="button" class="primary" disabled={lost.length > 0 && !looked} onClick={() => void add()}>
          Add this table
        </button>
      </div>
    </div>
  );
}
