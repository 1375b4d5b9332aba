// Loom: wires, devices, fuses, earths, joints, plugs, places and paths as tables.

import { useEffect } from "preact/hooks";
import { doc } from "../net/graft";
import { TabPanel, Tabs } from "../parts/tabs";
import { route, select } from "../route";
import { LoomTableView } from "./loom_table";
import { loom_tables, type TableName, table_names } from "./loom_tables";
import { PlacesPlan } from "./places_plan";

const table_in_route = (): TableName => table_names.find((name) => name === route.value.query.get("table")) ?? "wires";

const tabs = table_names.map((id) => ({ id, text: loom_tables[id].label }));

export function Loom() {
  const graft = doc.value;
  const shown = table_in_route();
  // On a phone the tabs scroll sideways: the chosen one must be in sight.
  useEffect(() => document.querySelector(".loom [aria-selected=true]")?.scrollIntoView({ block: "nearest", inline: "nearest" }), [shown]);
  if (!graft) return null;
  return (
    <div class="loom">
      <Tabs label="Tables of the loom" tabs={tabs} chosen={shown} choose={(table) => select({ table })} />
      <TabPanel id={shown}>
        {(shown === "places" || shown === "paths") && <PlacesPlan graft={graft} />}
        <LoomTableView key={shown} table={loom_tables[shown]} graft={graft} />
      </TabPanel>
    </div>
  );
}
