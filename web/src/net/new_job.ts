// Creates a job with what is known of it at the start. What cannot be added waits in Gather: nothing typed is lost.

import type { TableAdded } from "../api_types";
import { drop_drafts } from "../drafts";
import { show_message } from "../message";
import { name_from } from "../model/graft_name";
import { input_of, type NewJobForm, type NewTable, pasted_name } from "../model/new_job";
import { go, route_to } from "../route";
import { leave_table } from "../stages/gather_add_table";
import { change, post } from "./edit";
import { create_graft } from "./graft";
import type { Refusal } from "./request";

export const demo_title = "Power take-off for a box van (demo)";

export function say_refusal({ problems }: Refusal): void {
  show_message(problems.map((problem) => `${problem.message} ${problem.remedy ?? ""}`).join(" "), "error");
}

export async function create_demo(taken: readonly string[]): Promise<void> {
  const name = name_from("demo", taken);
  const created = await create_graft(name, demo_title, true);
  if (!created.ok) {
    say_refusal(created);
    return;
  }
  drop_drafts(name);
  go(route_to(name, "compare"));
}

async function add_table(name: string, role: "found" | "donor", table: NewTable): Promise<boolean> {
  const input = input_of(table);
  if (!input) return false;
  const { columns, index } = table;
  // What was pasted has no name of its own, and two modules of one name cannot be told apart.
  const named = input.name === pasted_name ? { ...input, name: role === "found" ? "vehicle's module" : "donor module" } : input;
  const body = { ...named, role, module: role, table: index, columns };
  const added = await post<TableAdded>(role === "found" ? "the vehicle's table" : "the donor's table", "/tables", body);
  if (!added) leave_table(name, named, columns);
  return added !== null;
}

// True if the job was created; the page then shows the comparison, or Gather if a table is missing.
export async function create_job(form: NewJobForm, taken: readonly string[]): Promise<boolean> {
  const name = name_from(form.title, taken);
  const created = await create_graft(name, form.title, false);
  if (!created.ok) {
    say_refusal(created);
    return false;
  }
  drop_drafts(name);
  if (form.supply_v !== created.value.doc.vehicle?.supply_v) {
    await change("the vehicle's supply", (now) => [{ op: "add", path: "/vehicle", value: { ...now.vehicle, supply_v: form.supply_v } }]);
  }
  const found = await add_table(name, "found", form.found);
  const donor = await add_table(name, "donor", form.donor);
  go(route_to(name, found && donor ? "compare" : "gather"));
  return true;
}
