// The loom as tables: cells edited by keys, mouse and touch, copied, filled down, imported, removed; pins and plugs of a
// module corrected under Gather.

import { violations } from "./axe.mjs";
import { at_both_sizes, check, equal, open_page, shots, test, timed_test, until_idle } from "./runner.mjs";
import { button, document_of, make_graft, names, read_json, send, stage } from "./steps.mjs";

const loom_names = {
  refused: /There is no plug or device "nowhere 5"/,
  find: /^Find in /,
  add_wire: "Add a wire",
  remove: "Remove",
  remove_and_clear: "Remove, and clear the references",
  fill_down: "Fill down",
  several: "Select several",
  import: "Import",
  export: "Export CSV",
  paste_here: /^Paste a table here/,
  take: /^Take \d+ rows?$/,
  edit_pins: "Edit pins",
  save_shape: "Save the shape",
  mirror: "Mirror left and right",
};
const column = { wires: { name: 0, from: 2, size: 5, length: 6 }, pins: { cavity: 0, signal: 2 } };

const cell = (page, row, at) => page.locator(`.grid-row [data-row="${row}"][data-column="${at}"]`);

async function open_table(page, graft, table) {
  await stage(page, graft, "loom", `?table=${table}`);
  await page.locator(".grid-row").first().waitFor();
}

async function type_into(page, row, at, text) {
  await cell(page, row, at).click();
  await page.keyboard.type(text);
  await page.keyboard.press("Enter");
}

const saved = (page) => until_idle(page);

// As the browser does it for Ctrl+V; the clipboard of the machine stays as it is.
const paste = (page, text) =>
  page.evaluate((pasted) => {
    const data = new DataTransfer();
    data.setData("text/plain", pasted);
    document.activeElement.dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true }));
  }, text);

const patches_of = (page) => {
  const list = [];
  page.on("request", (request) => request.method() === "PATCH" && list.push(request));
  return list;
};

// Undo or redo through the API; returns the status.
const step = (page, graft, which) =>
  page.evaluate(
    async ([at, way]) => {
      const now = await fetch(at);
      const tag = now.headers.get("ETag");
      await now.text(); // unread, it would hold up the next request for the same address
      return (await fetch(`${at}/${way}`, { method: "POST", headers: { "If-Match": tag } })).status;
    },
    [`/api/grafts/${graft}`, which],
  );

const sorted = (value) => {
  if (Array.isArray(value)) return value.map(sorted);
  if (value === null || typeof value !== "object") return value;
  return Object.fromEntries(
    Object.entries(value)
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([name, one]) => [name, sorted(one)]),
  );
};

function same_document(got, wanted, text) {
  const [mine, theirs] = [JSON.stringify(sorted(got)), JSON.stringify(sorted(wanted))];
  const at = [...mine].findIndex((sign, index) => sign !== theirs[index]);
  check(mine === theirs, `${text}: ${mine.slice(at - 60, at + 60)} instead of ${theirs.slice(at - 60, at + 60)}`);
}

test("loom: a cell is typed, refused, completed, undone", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "cells", { example: true });
  await open_table(page, graft, "wires");
  const before = await document_of(page, graft);
  await type_into(page, 1, column.wires.size, "2,5");
  await type_into(page, 1, column.wires.length, "120 cm");
  await saved(page);
  const wire = (await document_of(page, graft)).wires[1];
  equal(`${wire.area_mm2} ${wire.length_mm}`, "2.5 1200", "what was typed is in the document");
  await type_into(page, 1, column.wires.from, "nowhere 5");
  await page.getByText(loom_names.refused).waitFor();
  check(await page.locator(".grid-input").isVisible(), "the cell stays in edit");
  await page.keyboard.press("Control+a");
  await page.keyboard.type("C2-3");
  await page.getByRole("option").first().waitFor();
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("Enter");
  await saved(page);
  equal((await document_of(page, graft)).wires[1].from.at, "found.C2", "a completion was taken");
  for (let count = 0; count < 3; count += 1) await step(page, graft, "undo");
  same_document(await document_of(page, graft), before, "three steps back it is as before");
});

// The page promises 300 ms for five hundred cells; test machines are shared, so three times that counts as a fault here.
const fill_most_ms = 900;

timed_test("loom: five hundred cells are filled down in one change, in a loom of two thousand wires", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "many", { example: true });
  const steps = Array.from({ length: 2000 }, (_, n) => ({ op: "add", path: "/wires/-", value: { id: `x${n}`, signal: `extra ${n}` } }));
  const headers = { "Content-Type": "application/json-patch+json", "If-Match": '"r1"' };
  equal(await send(page, "PATCH", `/api/grafts/${graft}`, steps, headers), 200, "two thousand wires are there");
  await open_table(page, graft, "wires");
  const lines = await page.locator(".grid-row").count();
  check(lines < 80, `only the rows in view are in the page: ${lines}`);
  const patches = patches_of(page);
  await cell(page, 1, column.wires.length).click();
  for (let count = 0; count < 499; count += 1) await page.keyboard.press("Shift+ArrowDown");
  const answered = page.waitForResponse((answer) => answer.request().method() === "PATCH");
  const time = await page.evaluate(async () => {
    const began = performance.now();
    document.querySelector(".grid").dispatchEvent(new KeyboardEvent("keydown", { key: "d", ctrlKey: true, bubbles: true }));
    await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
    return performance.now() - began;
  });
  check(time < fill_most_ms, `filled in ${time} ms`);
  equal((await answered).status(), 200, "it is saved"); // the reports of so large a loom may take long: nobody waits for them
  equal(patches.length, 1, "one change");
  const { wires } = await document_of(page, graft);
  equal(new Set(wires.slice(1, 501).map((wire) => wire.length_mm)).size, 1, "all five hundred have the length");
  await page.keyboard.press("Control+End");
  check((await page.locator(".grid-row").count()) < 80, "still only the rows in view");
});

test("loom: cells are copied and pasted as a spreadsheet does it", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "paste", { example: true });
  await open_table(page, graft, "wires");
  await cell(page, 0, column.wires.size).click();
  await page.keyboard.press("Shift+ArrowRight");
  await page.keyboard.press("Shift+ArrowDown");
  await page.evaluate(() => document.addEventListener("copy", (event) => (window.copied = event.clipboardData.getData("text/plain"))));
  await page.keyboard.press("Control+c");
  equal(await page.evaluate(() => window.copied), "25\t0.4\n16\t0.3", "two rows and two columns with tabs");
  const patches = patches_of(page);
  await cell(page, 4, column.wires.size).click();
  await paste(page, "1.5\t2 m\nthick\t3\n");
  await page.getByText(/Size, mm² of .*, "thick"/).waitFor();
  await saved(page);
  const { wires } = await document_of(page, graft);
  equal(`${wires[4].area_mm2} ${wires[4].length_mm} ${wires[5].length_mm}`, "1.5 2000 3000", "what could be read is taken");
  equal(patches.length, 1, "one change");
  await cell(page, 4, column.wires.length).click();
  await page.keyboard.press("Delete");
  await saved(page);
  equal((await document_of(page, graft)).wires[4].length_mm, undefined, "Delete clears the cell");
});

test("loom: sizes in AWG and lengths in feet, if the settings say so", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "units", { example: true });
  await page.evaluate(() => {
    localStorage.setItem("loomgraft.units", "awg");
    localStorage.setItem("loomgraft.length_unit", "ft");
  });
  await page.reload();
  await open_table(page, graft, "wires");
  const text = await page.locator(".grid-row").first().textContent();
  check(/AWG/.test(text) && / in/.test(text), text);
  await type_into(page, 0, column.wires.length, "4 ft 2 in");
  await type_into(page, 0, column.wires.size, "18");
  await saved(page);
  const wire = (await document_of(page, graft)).wires[0];
  equal(`${wire.length_mm} ${wire.area_mm2}`, "1270 0.823", "the document is in millimetres");
});

test("loom: what others refer to is removed with the references, and comes back", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "remove", { example: true });
  await open_table(page, graft, "devices");
  const before = await document_of(page, graft);
  await page.getByLabel(loom_names.find).fill("PTO valve gearbox");
  await page.locator(".grid-row").first().click();
  await button(page, loom_names.remove).click();
  await page
    .getByRole("dialog")
    .getByText(/ends there/)
    .first()
    .waitFor();
  await button(page, loom_names.remove_and_clear).click();
  await saved(page);
  const after = await document_of(page, graft);
  check(!JSON.stringify(after).includes('"Y20"'), "nothing refers to the valve");
  equal(await step(page, graft, "undo"), 200, "undo");
  same_document(await document_of(page, graft), before, "one undo brings all of it back");
});

at_both_sizes("loom: a fuse box is imported through a check; what cannot be used stays", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "import", { example: true });
  await open_table(page, graft, "fuses");
  await button(page, loom_names.import).click();
  const box = page.getByLabel(loom_names.paste_here);
  await box.fill("F12; 15 A; fog lamps; 15\nF14; many; horn; 30");
  await page.locator(".check-rows").waitFor();
  equal((await violations(page)).join("\n"), "", "axe-core finds nothing in the check");
  await page.screenshot({ path: `${shots}/import-${world.size}.png` });
  await button(page, loom_names.take).click();
  await saved(page);
  equal(await box.inputValue(), "F14; many; horn; 30", "the row to mend");
  const doc = await document_of(page, graft);
  equal(doc.devices.find((device) => device.id === "F12").rating_a, 15, "the fuse is there");
  check(
    doc.wires.some((wire) => wire.to?.at === "F12" && wire.from?.at === "BUS15"),
    "with its feed",
  );
});

test("loom: a table goes out as CSV", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "csv", { example: true });
  await open_table(page, graft, "places");
  const [file] = await Promise.all([page.waitForEvent("download"), button(page, loom_names.export).click()]);
  equal(file.suggestedFilename(), "csv-places.csv", "its name");
});

at_both_sizes("loom: every table, and a cell in edit, without a finding of axe-core", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "axe-loom", { example: true });
  const found = [];
  for (const table of ["wires", "devices", "fuses", "earths", "joints", "plugs", "places", "paths"]) {
    await open_table(page, graft, table);
    found.push(...(await violations(page)).map((one) => `${table}: ${one}`));
    await page.screenshot({ path: `${shots}/loom-${table}-${world.size}.png` });
  }
  await open_table(page, graft, "wires");
  await cell(page, 1, column.wires.from).click();
  await page.keyboard.press("F2");
  await page.getByRole("listbox").waitFor();
  found.push(...(await violations(page)).map((one) => `in edit: ${one}`));
  check(found.length === 0, found.join("\n"));
});

test("loom: touch selects several cells with a tap each, and a second tap edits", async (world) => {
  const page = await open_page(world, { size: "phone" });
  const graft = await make_graft(page, "touch", { example: true });
  await open_table(page, graft, "places");
  await cell(page, 0, 1).tap();
  await cell(page, 0, 1).tap();
  await page.keyboard.type("77");
  await page.keyboard.press("Enter");
  await saved(page);
  await cell(page, 0, 1).tap();
  await button(page, loom_names.several).tap();
  await cell(page, 3, 1).tap();
  await button(page, loom_names.fill_down).tap();
  await saved(page);
  const { places } = await document_of(page, graft);
  equal(
    places
      .slice(0, 4)
      .map((place) => place.hottest_c)
      .join(),
    places
      .slice(0, 4)
      .map(() => places[0].hottest_c)
      .join(),
    "filled down",
  );
});

test("gather: a pin is corrected and keeps what its sources said", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "pins", { example: true });
  await stage(page, graft, "gather");
  await button(page, loom_names.edit_pins).first().click();
  await page.locator(".grid-row").first().waitFor();
  await type_into(page, 1, column.pins.signal, "injector two");
  await saved(page);
  await cell(page, 1, column.pins.signal).click();
  await page
    .locator(".pin-sources")
    .getByText(/line 16/)
    .waitFor();
  const pin = (await document_of(page, graft)).modules[0].pins[1];
  equal(pin.signal, "injector two", "the pin has the fact");
  equal(pin.claims.map((claim) => Boolean(claim.proved)).join(), "false,false,true", "both sources and the person");
  await type_into(page, 1, column.pins.cavity, "1");
  await page.getByText(/is described by another pin already/).waitFor();
  await page.keyboard.press("Escape");
  equal((await violations(page)).join("\n"), "", "axe-core finds nothing");
});

test("gather: the shape of a plug is edited, its face is drawn anew", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "shape", { example: true });
  await stage(page, graft, "gather");
  await page.locator("summary", { hasText: "C1 ·" }).first().click();
  await page.locator("summary", { hasText: "Shape of plug C1" }).first().click();
  await page.locator(".shape-columns svg").waitFor();
  const first = page.locator(".shape-edit input").first();
  await first.fill("1 2 3");
  check(await button(page, loom_names.save_shape).isDisabled(), "cavities in use must stay");
  await first.fill("1 2 _ 3 4 5 6 7 8 9");
  await button(page, loom_names.mirror).click();
  await button(page, loom_names.save_shape).click();
  await saved(page);
  const { rows } = (await document_of(page, graft)).connectors[0];
  equal(rows[0].cavities.join(), "9,8,7,6,5,4,3,,2,1", "mirrored, with its gap");
  const problems = (await read_json(page, `/api/grafts/${graft}/reports/check`)).problems.filter((one) =>
    one.location?.pointer?.startsWith("/connectors/0"),
  );
  equal(problems.length, 0, `the program finds the shape usable: ${JSON.stringify(problems)}`);
});

test("gather: a module is copied, removed and brought back", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "modules", { example: true });
  await stage(page, graft, "gather");
  const before = await document_of(page, graft);
  const tools = page.locator(".module-tools").first();
  await button(tools, "Duplicate").click();
  await saved(page);
  equal((await document_of(page, graft)).modules.length, before.modules.length + 1, "a copy");
  await button(page.locator(".module-tools").last(), loom_names.remove).click();
  await button(page.getByRole("dialog"), loom_names.remove).click();
  await saved(page);
  same_document(await document_of(page, graft), before, "the copy is gone without a trace");
  await button(tools, loom_names.remove).click();
  await button(page, loom_names.remove_and_clear).click();
  await saved(page);
  check(!JSON.stringify(await document_of(page, graft)).includes("found.C"), "its plugs are gone too");
  await button(page, names.undo).click();
  await until_idle(page);
  same_document(await document_of(page, graft), before, "undo restores it");
});
