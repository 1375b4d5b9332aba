// Two pages on one graft; undo; conflicts; a lost connection.
import { check, equal, open_page, test, timed_test } from "./runner.mjs";
import { start_server } from "./server.mjs";
import { button, document_of, make_graft, names, stage, until_document } from "./steps.mjs";

const market = (page) => page.getByLabel(names.market).first();

async function set_market(page, value) {
  await market(page).fill(value);
  await market(page).press("Enter");
}

const shows = (page, value) =>
  page.waitForFunction((wanted) => [...document.querySelectorAll(".tags input")].some((field) => field.value === wanted), value, {
    polling: 10,
  });

timed_test("two pages see each other's changes within 300 ms", async (world) => {
  const one = await open_page(world);
  const two = await open_page(world, { size: "phone" });
  const graft = await make_graft(one, "shared", { example: true });
  for (const page of [one, two]) {
    await stage(page, graft, "gather");
    await market(page).waitFor();
  }
  const times = [];
  for (let count = 0; count < 7; count += 1) {
    const [from, to] = count % 2 === 0 ? [one, two] : [two, one];
    const value = `M${count}`;
    await market(from).fill(value);
    // Both times are taken in the pages, so that the time of the test driver does not count.
    await from.evaluate(() =>
      window.addEventListener("keydown", () => (window.pressed = performance.timeOrigin + performance.now()), { once: true }),
    );
    const seen = to.waitForFunction(
      (wanted) =>
        [...document.querySelectorAll(".tags input")].some((field) => field.value === wanted) && performance.timeOrigin + performance.now(),
      value,
      { polling: 10 },
    );
    await market(from).press("Enter");
    times.push((await (await seen).jsonValue()) - (await from.evaluate(() => window.pressed)));
  }
  const median = times.sort((a, b) => a - b)[3];
  console.log(`a change on the other page after ${Math.round(median)} ms (median of ${times.length})`);
  check(median < 300, `the other page shows it after ${median} ms, 300 at most`);
});

test("undo and redo by button and key, and after a restart of the program", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "undo", { example: true });
  await stage(page, graft, "gather");
  await set_market(page, "AU");
  await shows(page, "AU");
  await set_market(page, "NZ");
  await until_document(page, graft, '"NZ"');
  await page.getByRole("heading", { level: 1 }).click();
  await page.keyboard.press("Control+z");
  await shows(page, "AU");
  await page.keyboard.press("Control+Shift+Z");
  await shows(page, "NZ");
  const { port, folder } = world.server;
  await world.server.stop();
  world.server = await start_server(folder, port);
  await page.reload();
  await shows(page, "NZ");
  await button(page, names.undo).click();
  await shows(page, "AU");
  const doc = await document_of(page, graft);
  equal(doc.modules[0].tags.market, "AU", "the document has it");
  await stage(page, graft, "history");
  const entries = page.locator(".history li");
  await entries.first().waitFor();
  check((await entries.count()) >= 4, "every change is in the history");
  check(/bench/.test(await entries.first().innerText()), "with its author");
});

test("two pages change the same field: the second is told and can apply its change again", async (world) => {
  const first = await open_page(world);
  const second = await open_page(world);
  await second.route("**/api/events*", (route) => route.abort()); // it does not get the event of the other change
  const graft = await make_graft(first, "conflict", { example: true });
  for (const page of [first, second]) {
    await stage(page, graft, "gather");
    await market(page).waitFor();
  }
  await set_market(first, "first");
  await until_document(first, graft, '"first"');
  await set_market(second, "second");
  const dialog = second.getByRole("dialog");
  await dialog.waitFor();
  await shows(second, "first");
  await button(dialog, names.apply_mine_again).click();
  await shows(first, "second");
});

test("two pages change different fields: both are kept", async (world) => {
  const one = await open_page(world);
  const two = await open_page(world);
  await two.route("**/api/events*", (route) => route.abort());
  const graft = await make_graft(one, "both", { example: true });
  for (const page of [one, two]) {
    await stage(page, graft, "gather");
    await market(page).waitFor();
  }
  await set_market(one, "ours");
  await until_document(one, graft, '"ours"');
  await two.getByLabel(names.market).nth(1).fill("theirs");
  await two.getByLabel(names.market).nth(1).press("Enter");
  await until_document(two, graft, '"theirs"');
  const doc = await document_of(one, graft);
  equal(doc.modules.map((module) => module.tags.market).join(" "), "ours theirs", "both changes are in the document");
});

test("a lost connection is shown, and restored; an edit made meanwhile is kept and saved then", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "link", { example: true });
  await stage(page, graft, "gather");
  await page.locator(".connection-connected").waitFor();
  const { port, folder } = world.server;
  await world.server.stop();
  await page.locator(".connection-lost").waitFor();
  await set_market(page, "lost");
  await page.locator(".connection-lost", { hasText: "1" }).waitFor();
  world.server = await start_server(folder, port);
  await page.locator(".connection-connected").waitFor({ timeout: 15000 });
  await until_document(page, graft, '"lost"');
  await shows(page, "lost");
});

test("a move ticked on one page is ticked on the other", async (world) => {
  const one = await open_page(world);
  const two = await open_page(world);
  const graft = await make_graft(one, "ticks", { example: true });
  for (const page of [one, two]) {
    await stage(page, graft, "compare", "?view=moves");
    await page.locator(".moves input").first().waitFor();
  }
  await one.locator(".moves input").first().check();
  await two.locator(".moves input:checked").first().waitFor();
});

test("the design follows an edit; what-if changes nothing until it is applied", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "design", { example: true });
  await stage(page, graft, "design", "?circuit=Y20");
  const open = page.locator(".design-circuit", { has: page.locator('[aria-expanded="true"]') }).first();
  const length = open.getByLabel(names.length).first();
  await length.waitFor();
  const before = await document_of(page, graft);
  const what = page.locator(".what-if");
  await what.locator("summary").click();
  await what.getByLabel(names.new_value).fill("12000");
  await what.locator("select").selectOption({ index: 1 });
  await what.locator(".what-if-result").waitFor();
  equal(JSON.stringify(await document_of(page, graft)), JSON.stringify(before), "the document is unchanged");
  await length.fill("4200");
  await length.press("Enter");
  await until_document(page, graft, ":4200");
  await open.locator(".check-row").first().click();
  await open.locator(".why").first().waitFor();
  await button(page, names.settings).click();
  await button(page, names.awg).click();
  await button(page, names.close).click();
  await open
    .getByText(/AWG \d+/)
    .first()
    .waitFor({ state: "attached" });
});
