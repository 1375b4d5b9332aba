// Starting a job, its data, search, help, and that nothing typed is lost.

import { violations } from "./axe.mjs";
import { load } from "./load.mjs";
import { at_both_sizes, check, equal, open_page, shots, test, until_idle } from "./runner.mjs";
import { start_server } from "./server.mjs";
import { button, demo_file, document_of, graft_of, make_graft, names, read_json, stage, until_document } from "./steps.mjs";

at_both_sizes("an empty folder shows four ways; the demo opens only when asked for", async (world) => {
  const page = await open_page(world, { size: world.size });
  await page.goto("/");
  await page.locator(".ways").waitFor();
  await until_idle(page);
  equal(await page.locator(".way").count(), 4, "ways to begin");
  equal((await read_json(page, "/api/grafts")).grafts.length, 0, "nothing is created by itself");
  const found = await violations(page);
  check(found.length === 0, found.join("\n"));
  await page.screenshot({ path: `${shots}/start-empty-${world.size}.png`, fullPage: true });
  await button(page, names.demo).click();
  await page.waitForURL(/#\/g\/demo\/compare/);
  await page.locator(".rail").waitFor();
  await page.goto("/#/");
  const card = page.locator(".job-card", { hasText: "Power take-off" });
  await card.getByText("Harrow 35").waitFor();
  await card.locator(".job-next").waitFor();
});

at_both_sizes("a new job: three fields and at most seven presses to the comparison; a reload loses nothing", async (world) => {
  const page = await open_page(world, { size: world.size });
  await page.goto("/");
  await page.evaluate(() => {
    window.presses = 0;
    document.addEventListener(
      "click",
      (event) => {
        if (event.isTrusted) window.presses += 1;
      },
      true,
    );
  });
  await page.getByRole("link", { name: names.new_job }).click();
  const title = page.getByLabel(names.new_graft);
  await title.fill("Power take-off, box van");
  const vehicle = page.getByLabel(names.vehicle_table);
  await vehicle.fill(demo_file("found-manual.csv"));
  await page.getByLabel(names.donor_table).fill(demo_file("donor.txt"));
  const summaries = page.locator(".read-summary", { hasText: /\d+ plugs, \d+ pins/ });
  await summaries.nth(1).waitFor();
  const presses = await page.evaluate(() => window.presses);
  await page.reload();
  equal(await title.inputValue(), "Power take-off, box van", "the title is still there");
  check((await vehicle.inputValue()).length > 1000, "and the table");
  await summaries.nth(1).waitFor();
  await page.getByText(names.check_reading).first().click();
  await page.locator(".columns").first().waitFor();
  const found = await violations(page);
  check(found.length === 0, found.join("\n"));
  await page.screenshot({ path: `${shots}/new-job-${world.size}.png`, fullPage: true });
  await page.getByRole("button", { name: names.create_job }).click();
  await page.waitForURL(/\/compare/);
  await page.locator(".face svg").first().waitFor();
  check(presses + 1 <= 7, `${presses + 1} presses`);
  const doc = await document_of(page, graft_of(page));
  equal(doc.modules.map((module) => module.role).join(" "), "found donor", "roles of the modules");
  await page.goto("/#/new");
  equal(await title.inputValue(), "", "the next job begins empty");
});

test("a new job without tables, for 24 V, goes to Gather; a table that is none waits there", async (world) => {
  const page = await open_page(world);
  await page.goto("/#/new");
  await page.getByLabel(names.new_graft).fill("Tractor");
  await page.getByLabel(names.vehicle_table).fill("nothing of use");
  await button(page, names.not_yet).nth(1).click();
  await button(page, names.job.volts_24).click();
  await page.getByRole("button", { name: names.create_job }).click();
  await page.waitForURL(/#\/g\/tractor\/gather/);
  await page.getByText("No pin table was found", { exact: false }).first().waitFor();
  const doc = await document_of(page, "tractor");
  equal(doc.vehicle.supply_v, 24, "supply");
  equal((doc.modules ?? []).length, 0, "no module yet");
  world.errors.length = 0; // the browser's own line about the refused table
});

test("a document becomes a job named after its title, and a document replaces that of a job", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "source", { example: true, title: "Lift gate, truck" });
  const document = await read_json(page, `/api/grafts/${graft}/export`);
  const file = (doc) => ({ name: "x.json", mimeType: "application/json", buffer: Buffer.from(JSON.stringify(doc)) });
  await page.goto("/#/");
  await page.getByLabel(names.bring, { exact: true }).setInputFiles(file({ ...document, title: "Brought, van" }));
  await page.waitForURL(/#\/g\/brought-van\/compare/);
  const doc = await document_of(page, "brought-van");
  equal(doc.modules.length, document.modules.length, "modules");
  await page.locator(".job-title").click();
  await page.getByLabel(names.job.bring, { exact: true }).setInputFiles(file({ ...document, title: "Replaced" }));
  await page.locator(".job-title", { hasText: "Replaced" }).waitFor();
  await button(page, names.undo).click();
  await page.locator(".job-title", { hasText: "Brought, van" }).waitFor();
});

at_both_sizes("the job's data is edited from its title, and a job is renamed", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "data", { example: true });
  await stage(page, graft, "gather");
  await page.locator(".job-title").click();
  const dialog = page.getByRole("dialog");
  const found = await violations(page);
  check(found.length === 0, found.join("\n"));
  await page.screenshot({ path: `${shots}/job-${world.size}.png` });
  await dialog.getByLabel(names.job.customer).fill("M. Example");
  await dialog.getByLabel(names.job.note).fill("Keys are at the desk.");
  await dialog.getByLabel(names.job.title).fill("Renamed");
  await dialog.getByLabel(names.job.title).press("Enter");
  await button(dialog, names.close).click();
  await until_document(page, graft, '"Renamed"');
  const doc = await document_of(page, graft);
  equal(doc.job.customer, "M. Example", "customer");
  equal(doc.job.note, "Keys are at the desk.", "note");
  await page.locator(".job-title", { hasText: "Renamed" }).waitFor();
});

test("what is half-typed survives another stage and a reload", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "typed", { example: true });
  await stage(page, graft, "gather");
  await button(page, names.add_a_table).click();
  await page.getByLabel(names.paste_here).fill("1;road speed");
  await stage(page, graft, "identify");
  await page.locator(".cavity").first().click();
  await page.locator('.cavity-form [data-colour="BN"]').first().click();
  await stage(page, graft, "prove");
  await page.locator(".step").first().waitFor();
  const test_id = (await read_json(page, `/api/grafts/${graft}/reports/prove`)).plan[0];
  await stage(page, graft, "prove", `?step=${encodeURIComponent(`test:${test_id}`)}`);
  await page.locator(".keypad-keys").getByRole("button", { name: "7", exact: true }).click();
  await page.locator(".keypad-shown", { hasText: "7" }).waitFor();
  await stage(page, graft, "gather");
  await page.reload();
  equal(await page.getByLabel(names.paste_here).inputValue(), "1;road speed", "the pasted text");
  await stage(page, graft, "identify");
  await page.locator(".cavity", { hasText: "BN" }).first().waitFor();
  await stage(page, graft, "prove", `?step=${encodeURIComponent(`test:${test_id}`)}`);
  await page.locator(".keypad-shown", { hasText: "7" }).waitFor();
  await button(page, names.save_reading).click();
  await page.waitForFunction(() => !Object.keys(localStorage).some((key) => key.includes("/reading.")));
});

test("text pasted while the connection is lost is read when it is back", async (world) => {
  const page = await open_page(world);
  await page.goto("/#/new");
  await page.getByLabel(names.new_graft).waitFor();
  await until_idle(page);
  const { port, folder } = world.server;
  await world.server.stop();
  await page.getByLabel(names.vehicle_table).fill("Pin;Function\n1;road speed\n2;earth\n3;feed\n");
  await page.locator(".problems").first().waitFor();
  world.server = await start_server(folder, port);
  await page.locator(".read-summary", { hasText: "3 pins" }).waitFor();
});

at_both_sizes("search finds a cavity, opens it with Enter; help has the keys and the words", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "search", { example: true });
  await stage(page, graft, "gather");
  await page.locator(".tags").first().waitFor();
  if (world.size === "phone") await button(page, names.search).click();
  else await page.keyboard.press("/");
  const dialog = page.getByRole("dialog");
  await dialog.locator("input").fill("c2 31");
  await dialog.locator(".hit").first().waitFor();
  const found = await violations(page);
  check(/^C2-31/.test(await dialog.locator(".hit").first().innerText()), "the cavity comes first");
  await page.screenshot({ path: `${shots}/search-${world.size}.png` });
  await dialog.locator("input").press("Enter");
  await page.waitForURL(/compare\?plug=C2&cavity=31/);
  await page.locator("main h1").click();
  await page.keyboard.press("?");
  await dialog.getByLabel(names.find_word).fill("wetting");
  equal(await dialog.locator(".glossary dt").count(), 1, "one word");
  found.push(...(await violations(page)));
  check(found.length === 0, found.join("\n"));
  await button(dialog, names.close).click();
  await dialog.waitFor({ state: "detached" });
});

const advice_doc = (plan, wires = []) => ({
  format: "loomgraft",
  version: 1,
  modules: [
    { id: "a", role: "found", pins: [] },
    { id: "b", role: "donor", pins: [] },
  ],
  wires,
  plan,
});
const added = (id, to) => ({ action: "add", added: { id, from: { at: "C1", cavity: "1" }, ...(to && { to: { at: to } }) } });

test("model: what to do next, and what later stages lack", async () => {
  const { next_step } = await load("model/next_step.ts");
  const empty = { format: "loomgraft", version: 1 };
  equal(next_step("gather", empty, {}).id, "found", "the vehicle's table first");
  equal(next_step("compare", empty, {}), null, "the empty stage says what comes first");
  equal(next_step("compare", advice_doc([]), {}).id, "plan", "then the plan");
  const open = advice_doc([added("n1", "Y1"), added("n2"), added("n3")]);
  check(/2 of 3 added wires/.test(next_step("gather", open, {}).next.lack), "far ends are counted");
  equal(next_step("circuits", open, {}).id, "far-ends", "and said on their stage");
  const whole = advice_doc([added("n1", "Y1")]);
  const circuit = (passes) => ({ checks: [{ passes, judged: true }], missing: [], passes, judged: true });
  const design = { circuits: [circuit(false), circuit(true)], back_feeds: [], assumptions: [] };
  equal(next_step("circuits", whole, { design }).next.id, "failing", "what fails comes next");
  equal(next_step("design", whole, { design }).now.startsWith("1 of 2 circuits fails"), true, next_step("design", whole, { design }).now);
});

test("model: search ranks a cavity by its exact name, and finds words anywhere", async () => {
  const { search } = await load("model/search.ts");
  const pin = (cavity, signal) => ({ connector: "x", cavity, signal, class: "unknown" });
  const doc = {
    format: "loomgraft",
    version: 1,
    connectors: [{ id: "x", name: "C2" }],
    modules: [
      { id: "a", name: "Engine", role: "found", connectors: ["x"], pins: [pin("31", "lamp"), pin("3", "earth"), pin("30", "feed")] },
    ],
    devices: [{ id: "Y20", name: "PTO valve", kind: "valve" }],
  };
  const first = (text) => search(text, { doc, compare: null, prove: null })[0]?.hits[0]?.name;
  equal(first("C2-3"), "C2-3 earth", "exact");
  equal(first("c2 31"), "C2-31 lamp", "with a blank");
  equal(first("valve pto"), "PTO valve", "words in any order");
  equal(first("nowhere"), undefined, "nothing");
});
