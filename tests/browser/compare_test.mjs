// Compare in tabs, diagrams that can be read at once, assumed values by circuit; names instead of ids.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { violations } from "./axe.mjs";
import { load } from "./load.mjs";
import { at_both_sizes, check, equal, open_page, shots, test, until_idle } from "./runner.mjs";
import { root } from "./server.mjs";
import { button, document_of, make_graft, names, open_tab, read_json, stage } from "./steps.mjs";

const views = ["hazards", "circuits", "plug", "questions", "moves"];
const three_screens = 3 * 844;

at_both_sizes("each tab of the comparison: axe-core finds nothing, and on a phone it is under three screens high", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "tabs", { example: true });
  const found = [];
  for (const view of views) {
    await stage(page, graft, "compare", `?view=${view}`);
    await page.locator(".face svg").first().waitFor();
    await until_idle(page);
    found.push(...(await violations(page)).map((one) => `${view}: ${one}`));
    const height = await page.evaluate(() => document.documentElement.scrollHeight);
    if (world.size === "phone" && height > three_screens) found.push(`${view}: ${height} px high`);
    await page.screenshot({ path: `${shots}/compare-${view}-${world.size}.png`, fullPage: true });
    await page.getByRole("button", { name: /plan$/ }).waitFor();
  }
  check(found.length === 0, found.join("\n"));
});

at_both_sizes("tabs go by arrow keys; the address keeps the tab; a picked cavity opens its circuit", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "arrows", { example: true });
  await stage(page, graft, "compare");
  const selected = page.getByRole("tab", { selected: true });
  await selected.focus();
  await page.keyboard.press("End");
  await page.locator("#moves").waitFor();
  check(page.url().includes("view=moves"), "the address names the tab");
  equal(await page.evaluate(() => document.activeElement?.getAttribute("aria-selected")), "true", "the focus is on the chosen tab");
  await page.keyboard.press("ArrowRight");
  await page.locator("#hazards").waitFor();
  await page.locator(".hazard").first().click();
  await page.locator(".face .highlighted").first().waitFor();
  check(page.url().includes("view=hazards"), "a hazard is highlighted, and its tab stays");
  await page.locator(".face [data-cavity]").first().click();
  await page.locator("#circuits .circuit-open").first().waitFor();
  await stage(page, graft, "compare", "?plug=C3&cavity=1");
  await page.locator("#circuit-clash-C3-1 .why").waitFor();
});

test("a long list is short at first and whole after one press and on paper", async (world) => {
  const page = await open_page(world, { size: "phone" });
  const graft = await make_graft(page, "short", { example: true });
  await stage(page, graft, "compare", "?view=moves");
  const moves = page.locator("#moves .moves li");
  await moves.first().waitFor();
  const all = (await read_json(page, `/api/grafts/${graft}/reports/compare`)).moves.length;
  check((await moves.count()) < all, "some moves are left out at first");
  await page.locator("#moves").getByRole("button", { name: names.show_all }).click();
  equal(await moves.count(), all, "all of them");
  await open_tab(page, "hazards");
  await page.evaluate(() => {
    window.printed = false;
    window.print = () => (window.printed = true);
  });
  await page.getByRole("button", { name: names.print }).click();
  await page.waitForFunction(() => window.printed);
  for (const view of ["hazards", "circuits", "questions", "moves"]) equal(await page.locator(`#${view}`).count(), 1, `${view} on paper`);
  equal(await page.locator(".face svg").count(), 4, "every plug on paper");
  equal(await moves.count(), all, "every move on paper");
  await page.evaluate(() => window.dispatchEvent(new Event("afterprint")));
});

const smallest_text = (page) =>
  page.evaluate(() =>
    Math.min(
      ...[...document.querySelectorAll(".pan-zoom svg text")].map((one) => Number(one.getAttribute("font-size")) * one.getScreenCTM().a),
    ),
  );

const in_view = (page) =>
  page.evaluate(() => {
    const frame = document.querySelector(".pan-zoom-frame").getBoundingClientRect();
    return [...document.querySelectorAll(".pan-zoom .highlighted *")].some((one) => {
      const box = one.getBoundingClientRect();
      return box.right > frame.left && box.left < frame.right && box.bottom > frame.top && box.top < frame.bottom;
    });
  });

at_both_sizes("a diagram opens on what the plan adds, in a size that can be read, and is stepped through", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "readable", { example: true });
  const added = (await document_of(page, graft)).plan.find((step) => step.added).added.id;
  for (const query of ["", "?circuit=all"]) {
    await stage(page, graft, "diagram", query);
    await page.locator(`.pan-zoom [data-wire="${added}"]`).first().waitFor();
    await until_idle(page);
    check((await smallest_text(page)) >= 10.99, `the smallest text is ${await smallest_text(page)} px high`);
  }
  await stage(page, graft, "diagram");
  await page.locator(".pan-zoom svg").waitFor();
  const heading = () => page.locator(".pan-zoom svg > title").textContent();
  const first = await heading();
  await button(page, names.next_circuit).click();
  await page.waitForFunction((before) => document.querySelector(".pan-zoom svg > title")?.textContent !== before, first);
  await button(page, names.previous_circuit).click();
  await page.waitForFunction((before) => document.querySelector(".pan-zoom svg > title")?.textContent === before, first);
  await button(page, names.whole_drawing).click();
  await page.screenshot({ path: `${shots}/diagram-first-${world.size}.png`, fullPage: true });
});

at_both_sizes("a cavity or a name finds its part, which is shown with what is known about it; Escape goes back", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "find-part", { example: true });
  await stage(page, graft, "diagram");
  await page.locator(".pan-zoom svg").waitFor();
  const search = page.getByLabel(names.find_part);
  const picked = page.locator(".picked-part");
  for (const [text, name] of [
    ["C2-31", "PTO request switch"],
    ["c2 31", "PTO request switch"],
    ["fan relay 2", "fan relay 2"],
  ]) {
    await search.fill(text);
    await search.press("Enter");
    await picked.getByRole("heading", { name, exact: true }).waitFor();
    await page.locator(".pan-zoom .highlighted").first().waitFor();
    await until_idle(page);
    check(await in_view(page), `${text} is in view`);
    check((await page.locator(".pan-zoom .dimmed").count()) > 0, "the rest steps back");
  }
  const found = await violations(page);
  check(found.length === 0, found.join("\n"));
  await page.screenshot({ path: `${shots}/diagram-picked-${world.size}.png`, fullPage: true });
  await search.fill("");
  await page.keyboard.press("Escape");
  await picked.waitFor({ state: "detached" });
  equal(await page.locator(".pan-zoom .dimmed").count(), 0, "nothing steps back any more");
  await search.fill("C2-31");
  await search.press("Enter");
  await picked.getByRole("link", { name: names.edit }).click();
  await page.waitForURL(/\/loom\?table=wires&row=/);
});

test("assumed values are grouped by circuit, each once, and a measured one is one field away", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "assumed", { example: true });
  await stage(page, graft, "design");
  const groups = page.locator(".assumption-group");
  await groups.first().waitFor();
  const assumed = (await read_json(page, `/api/grafts/${graft}/reports/design`)).assumptions.length;
  equal(await page.locator(".assumptions > li").count(), assumed, "every assumed value is in one group");
  const last = groups.last();
  await last.locator("summary").click();
  const field = last.locator("input").first();
  await field.fill("2400");
  await field.press("Enter");
  await page.waitForFunction((before) => document.querySelectorAll(".assumptions > li").length < before, assumed);
});

test("no id is shown where there is a name: comparison, circuits, loom, diagram, history", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "ids", { example: true });
  const doc = await document_of(page, graft);
  const ids = [...doc.wires, ...doc.connectors, ...doc.plan.flatMap((step) => step.added ?? [])].map(({ id }) => id);
  const shown = [];
  for (const where of [
    ...views.map((view) => `compare?view=${view}`),
    "circuits",
    "loom",
    "diagram?circuit=n_c2_34",
    "design",
    "history",
  ]) {
    const [name, query = ""] = where.split("?");
    await stage(page, graft, name, query && `?${query}`);
    await until_idle(page);
    const words = new Set((await page.locator("main").innerText()).split(/[\s,;()"“”]+/));
    shown.push(...ids.filter((id) => id.includes("_") || id.includes(".")).flatMap((id) => (words.has(id) ? [`${where}: ${id}`] : [])));
  }
  check(shown.length === 0, shown.join("\n"));
});

test("model: names of wires, ends and whatever a report names by its id", async () => {
  const { name_of, wire_name } = await load("model/names.ts");
  const doc = {
    format: "loomgraft",
    version: 1,
    connectors: [{ id: "v.C2", name: "C2" }],
    devices: [
      { id: "H1", name: "fog lamp", kind: "lamp" },
      { id: "H2", name: "rear lamp", kind: "lamp" },
    ],
    wires: [
      { id: "w1", from: { at: "v.C2", cavity: "31" }, to: { at: "H1", cavity: "1" } },
      { id: "w2", signal: "lamps", from: { at: "H1", cavity: "1" }, to: { at: "H2", cavity: "1" } },
      { id: "w3", signal: "lamps", from: { at: "H2", cavity: "2" } },
    ],
  };
  equal(wire_name(doc, doc.wires[0]), "C2-31 to fog lamp", "without a signal: where it leads");
  equal(wire_name(doc, doc.wires[1]), "lamps (fog lamp to rear lamp)", "a signal that two wires share");
  equal(name_of(doc, "w3"), "lamps (rear lamp to open)", "an open end");
  equal(name_of(doc, "v.C2:31"), "C2-31", "a cavity");
  equal(name_of(doc, "H1:2"), "fog lamp:2", "a terminal");
  equal(name_of(doc, "nobody"), "nobody", "what the document does not have");
});

test("model: a part is found by its cavity however it is typed, by its name, its colour, and where the plan moves it", async () => {
  const { search_parts } = await load("model/part_search.ts");
  const doc = {
    format: "loomgraft",
    version: 1,
    connectors: [{ id: "v.C2", name: "C2" }],
    devices: [{ id: "H1", name: "fog lamp", kind: "lamp" }],
    wires: [
      { id: "w1", signal: "fog", colour: { base: "RD", tracer: "GN" }, from: { at: "v.C2", cavity: "31" }, to: { at: "H1", cavity: "1" } },
      { id: "w2", signal: "horn", from: { at: "v.C2", cavity: "3" } },
    ],
    plan: [{ action: "move", wire: "w2", from: { at: "v.C2", cavity: "3" }, to: { at: "v.C2", cavity: "7" } }],
  };
  const ids = (text) =>
    search_parts(doc, text)
      .map(({ id }) => id)
      .join();
  for (const text of ["C2-31", "c2 31", "C2.31", "c231"]) equal(ids(text), "w1", text);
  equal(ids("C2-7"), "w2", "where it moves to");
  equal(ids("fog lamp"), "H1,w1", "a name, the device itself first");
  equal(ids("rd/gn"), "w1", "a colour");
  equal(ids("no such thing"), "", "nothing");
  equal(ids(""), "H1,w1,w2", "without a text all");
});

test("model: circuits of a diagram: what is added, moved, taken out, then the rest; fuses and joints are no circuits", async () => {
  const { diagram_sheets, first_sheet } = await load("model/diagram_sheets.ts");
  const doc = JSON.parse(readFileSync(join(root, "examples/power-takeoff/graft.json"), "utf8"));
  const sheets = diagram_sheets(doc);
  const order = sheets.map(({ group }) => group).filter((group, index, all) => group !== all[index - 1]);
  equal(order.join(), "added,moved,taken out,unchanged", "order of the groups");
  equal(first_sheet(sheets), sheets[0].id, "the first is what the plan adds");
  const kinds = new Map(doc.devices.map(({ id, kind }) => [id, kind]));
  check(
    !sheets.some(({ id, group }) => group === "added" && ["fuse", "splice"].includes(kinds.get(id))),
    "no fuse or joint is added as a circuit",
  );
});
