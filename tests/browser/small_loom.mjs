// A feed, a fuse and an earth of the demo's loom: its test plan takes no time, unlike the demo's.
import { demo_file, send } from "./steps.mjs";

const wires = ["w_batt_neg", "w_batt_pos", "w_main30", "w_f20", "w_c2_5", "w_c2_3"];
const devices = ["battery", "G1", "FL1", "BUS30", "F20", "G3"];
const cavities = ["3", "5"];

export function small_document() {
  const demo = JSON.parse(demo_file("graft.json"));
  const found = demo.modules.find((module) => module.role === "found");
  const pins = found.pins
    .filter((pin) => pin.connector === "found.C2" && cavities.includes(pin.cavity))
    .map(({ connector, cavity, signal, class: kind }) => ({ connector, cavity, signal, class: kind }));
  return {
    format: demo.format,
    version: demo.version,
    title: "A feed and an earth",
    connectors: demo.connectors.filter(({ id }) => id === "found.C2"),
    modules: [{ id: "found", name: "Controller", role: "found", connectors: ["found.C2"], pins }],
    devices: demo.devices.filter(({ id }) => devices.includes(id)).map(({ place: _, ...device }) => device),
    wires: demo.wires.filter(({ id }) => wires.includes(id)).map(({ along: _, ...wire }) => wire),
  };
}

// A job with this loom.
export async function make_small_graft(page, name) {
  if (!page.url().startsWith("http")) await page.goto("/icon.svg");
  const created = await send(page, "POST", "/api/grafts", { name, title: "A feed and an earth" });
  const brought = await send(page, "POST", `/api/grafts/${name}/import`, small_document(), { "If-Match": '"r1"' });
  if (created !== 201 || brought !== 200) throw new Error(`the small job was not made: ${created}, ${brought}`);
  return name;
}
