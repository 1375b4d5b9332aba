// Two devices in one table of the loom at once, and what is half-typed in its cells.

import { at_size, check, equal, open_page, test, until_idle } from "./runner.mjs";
import { button, document_of, make_graft, names, stage, until_document } from "./steps.mjs";

const column = { size: 5, length: 6 };

const cell = (page, row, at) => page.locator(`.grid-row [data-row="${row}"][data-column="${at}"]`);

async function open_wires(page, graft) {
  await stage(page, graft, "loom", "?table=wires");
  await page.locator(".grid-row").first().waitFor();
}

async function type_into(page, row, at, text) {
  await cell(page, row, at).click();
  await page.keyboard.type(text);
  await page.keyboard.press("Enter");
}

const shows = (page, row, at, text) =>
  page.waitForFunction(
    ([line, place, wanted]) =>
      document.querySelector(`.grid-row [data-row="${line}"][data-column="${place}"]`)?.textContent?.trim() === wanted,
    [row, at, text],
    { polling: 10 },
  );

test("two devices edit different cells of one table at once: both are kept", async (world) => {
  const [one, two] = [await open_page(world), await open_page(world)];
  const graft = await make_graft(one, "both", { example: true });
  for (const page of [one, two]) await open_wires(page, graft);
  // Four rows each, in turn and without waiting for each other; the last row by both, in different columns.
  for (let row = 0; row < 4; row += 1) {
    await Promise.all([type_into(one, row, column.size, "2.5"), type_into(two, row + 4, column.length, "3.3")]);
  }
  await Promise.all([type_into(one, 8, column.size, "4"), type_into(two, 8, column.length, "1.7")]);
  for (const page of [one, two]) {
    await until_idle(page);
    await shows(page, 3, column.size, "2.5");
    await shows(page, 7, column.length, "3.3");
    await shows(page, 8, column.size, "4");
    await shows(page, 8, column.length, "1.7");
    equal(await page.locator("dialog[open]").count(), 0, "nobody is asked about a conflict");
  }
  const { wires } = await document_of(one, graft);
  for (let row = 0; row < 4; row += 1) {
    equal(wires[row].area_mm2, 2.5, `size of row ${row}`);
    equal(wires[row + 4].length_mm, 3300, `length of row ${row + 4}`);
  }
  equal(`${wires[8].area_mm2} ${wires[8].length_mm}`, "4 1700", "the row that both edited");
});

test("two devices edit the same cell: the second is told, and can make its edit again", async (world) => {
  const [one, two] = [await open_page(world), await open_page(world)];
  const graft = await make_graft(one, "same", { example: true });
  for (const page of [one, two]) await open_wires(page, graft);
  // The second device hears of nothing and sends on the old revision.
  await two.route("**/api/grafts/same", async (route) => {
    if (route.request().method() === "GET") await route.abort();
    else await route.continue();
  });
  await type_into(one, 3, column.size, "2.5");
  await until_document(one, graft, '"area_mm2":2.5');
  await type_into(two, 3, column.size, "6");
  await two.unroute("**/api/grafts/same");
  const again = button(two, names.apply_mine_again);
  await again.waitFor();
  equal((await document_of(one, graft)).wires[3].area_mm2, 2.5, "the first edit stands");
  await again.click();
  await shows(one, 3, column.size, "6");
  await shows(two, 3, column.size, "6");
});

test("a row that another device removes while one types in it is not written to another row", async (world) => {
  const [one, two] = [await open_page(world), await open_page(world)];
  const graft = await make_graft(one, "gone", { example: true });
  for (const page of [one, two]) await open_wires(page, graft);
  const before = (await document_of(one, graft)).wires;
  await cell(two, 4, column.size).click();
  await two.keyboard.type("6");
  await one.evaluate(
    async ([at, id]) => {
      const tag = (await fetch(at)).headers.get("ETag");
      const body = JSON.stringify([
        { op: "test", path: "/wires/4/id", value: id },
        { op: "remove", path: "/wires/4" },
      ]);
      await fetch(at, { method: "PATCH", headers: { "If-Match": tag, "Content-Type": "application/json-patch+json" }, body });
    },
    [`/api/grafts/${graft}`, before[4].id],
  );
  await two.waitForFunction(
    (count) => Number(document.querySelector(".grid").getAttribute("aria-rowcount")) === count,
    before.length + (await added_wires(one, graft)),
  );
  await two.keyboard.press("Enter");
  await until_idle(two);
  const after = (await document_of(one, graft)).wires;
  equal(after.length, before.length - 1, "one wire is gone");
  for (const wire of after) equal(wire.area_mm2, before.find(({ id }) => id === wire.id).area_mm2, `size of ${wire.id}`);
});

async function added_wires(page, graft) {
  return (await document_of(page, graft)).plan.filter((step) => step.added).length;
}

// A first tap chooses the cell, a second one opens it; keys do it with Enter.
async function edit_cell(page, place, size) {
  if (size === "phone") {
    await place.tap();
    await place.and(page.locator(".grid-cursor")).waitFor();
    await place.tap();
  } else {
    await place.click();
    await page.keyboard.press("Enter");
  }
  await page.locator(".grid-input").waitFor();
}

at_size("laptop", "what is half-typed in a cell of the loom or a pin survives a reload and another stage", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "draft", { example: true });
  const half_typed = async (text) => {
    await page.reload();
    const input = page.locator(".grid-input");
    await input.waitFor();
    equal(await input.inputValue(), text, "the text is there after a reload");
    return input;
  };
  await open_wires(page, graft);
  await edit_cell(page, cell(page, 2, column.size), world.size);
  await page.locator(".grid-input").fill("1.2 and a bit");
  await half_typed("1.2 and a bit");
  // Another stage by a tap: what cannot be saved is still there when one comes back.
  await page.evaluate((at) => (location.hash = at), `#/g/${graft}/gather`);
  await page.locator("main h1", { hasText: "Gather" }).waitFor();
  await page.evaluate((at) => (location.hash = at), `#/g/${graft}/loom?table=wires`);
  const input = page.locator(".grid-input");
  await input.waitFor();
  equal(await input.inputValue(), "1.2 and a bit", "the text is there after another stage");
  await input.fill("1.5");
  await input.press("Enter");
  await until_idle(page);
  equal((await document_of(page, graft)).wires[2].area_mm2, 1.5, "it is saved");
  await page.reload();
  await page.locator(".grid-row").first().waitFor();
  equal(await page.locator(".grid-input").count(), 0, "nothing is half-typed any more");

  await stage(page, graft, "gather");
  await page.getByRole("button", { name: "Edit pins" }).first().click();
  const signal = cell(page, 1, 2);
  await signal.waitFor();
  await edit_cell(page, signal, world.size);
  await page.locator(".grid-input").fill("half a na");
  await page.reload();
  await page.getByRole("button", { name: "Edit pins" }).first().click();
  await page.locator(".grid-input").waitFor();
  equal(await page.locator(".grid-input").inputValue(), "half a na", "a pin's name too");
  await page.locator(".grid-input").press("Escape");
  check(await page.locator(".grid-input").isHidden(), "Escape gives it up");
});
