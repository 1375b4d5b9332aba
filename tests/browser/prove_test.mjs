// The measuring screens: a whole plan at phone size with no link for its middle third, the search for a hidden
// mistake, what two devices see of each other.

import { join } from "node:path";
import { at_both_sizes, check, equal, open_page, shots, test } from "./runner.mjs";
import { start_server } from "./server.mjs";
import { make_graft, stage } from "./steps.mjs";

const read_json = (page, path) =>
  page.evaluate(async (at) => {
    for (;;) {
      const answer = await fetch(at);
      if (answer.status === 200) return answer.json();
      if (answer.status !== 202) throw new Error(`${at} was refused: ${answer.status}`);
    }
  }, path);

// "Step 5 of 72", or the change of state before it.
const title = (page) => page.locator(".step h2").first();

async function practise(page, graft) {
  const proof = await read_json(page, `/api/grafts/${graft}/reports/prove`);
  await stage(page, graft, "prove");
  const whole = page.getByText("The whole plan, practice and printing");
  await page.locator(".step").first().waitFor();
  if (await whole.isVisible()) await whole.click();
  await page.getByRole("button", { name: /Practise on a loom/ }).click();
  await page.getByText("The meter is played by the program").waitFor();
  return proof;
}

// One screen on: a change of state, or a reading. What is out of band is passed by, as a person would not.
async function one_step(page) {
  const before = await title(page).textContent();
  const state = page.getByRole("button", { name: /go on$/ });
  if (await state.isVisible()) {
    await state.click();
  } else {
    await page.getByRole("button", { name: "Read the practice meter" }).click();
    await page.getByRole("button", { name: "Save the reading" }).click();
    await page.waitForFunction(
      (was) => document.querySelector(".step h2")?.textContent !== was || document.querySelector(".outcome-out"),
      before,
    );
    const next = page.getByRole("button", { name: "Next step" });
    if (await next.isVisible()) await next.click();
  }
  await page.waitForFunction((was) => document.querySelector(".step h2")?.textContent !== was || !document.querySelector(".step"), before);
}

test("a whole plan in the footwell, its middle third without a link, the program killed in between", async (world) => {
  const page = await open_page(world, { size: "phone" });
  const graft = await make_graft(page, "footwell", { example: true });
  const proof = await practise(page, graft);
  await page.waitForFunction(() => document.querySelector(".probe .drawing-box svg") || document.querySelector(".step-next"));
  const steps = proof.plan.length;
  const number = async () => Number(/Step (\d+)/.exec((await title(page).textContent()) ?? "")?.[1] ?? 0);
  while ((await number()) <= steps / 3) await one_step(page);
  await page.context().setOffline(true);
  await world.server.kill();
  while ((await number()) <= (2 * steps) / 3) await one_step(page);
  await page
    .getByText(/readings wait in this device/)
    .first()
    .waitFor();
  await page.screenshot({ path: join(shots, "prove-no-link-phone.png") });
  world.server = await start_server(world.server.folder, world.server.port);
  await page.context().setOffline(false);
  await page.evaluate(() => window.dispatchEvent(new Event("online")));
  while (await page.locator(".step").count()) {
    const left = await page.getByText("Every step has a reading").count();
    if (left) break;
    await one_step(page);
  }
  await page.getByText("All readings are safe on the workbench's disk.").first().waitFor();
  const { readings } = await read_json(page, `/api/grafts/${graft}/readings`);
  equal(new Set(readings.map((reading) => reading.id)).size, readings.length, "no reading is doubled");
  const measured = new Set(readings.map((reading) => reading.test));
  equal(proof.plan.filter((id) => !measured.has(id)).length, 0, "no reading of the plan is missing");
  equal(readings.length, steps, "one reading for each step");
});

at_both_sizes("the search finds the hidden swap", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "hidden", { example: true });
  const proof = await practise(page, graft);
  const hidden = await page.evaluate((name) => sessionStorage.getItem(`loomgraft.practice.${name}`), graft);
  check(hidden.startsWith("swapped_wires"), `the hidden mistake is a swap: ${hidden}`);
  let saved = 0;
  for (let count = 0; count < 2 * proof.plan.length; count += 1) {
    const out = page.getByRole("link", { name: "Find the fault" }).and(page.locator(".first"));
    const state = page.getByRole("button", { name: /go on$/ });
    if (await state.isVisible()) {
      await state.click();
      continue;
    }
    await page.getByRole("button", { name: "Read the practice meter" }).click();
    const before = await title(page).textContent();
    await page.getByRole("button", { name: "Save the reading" }).click();
    saved += 1;
    await page.waitForFunction(
      (was) => document.querySelector(".step h2")?.textContent !== was || document.querySelector(".outcome-out"),
      before,
    );
    if (await out.isVisible()) {
      await out.click();
      break;
    }
  }
  await page.waitForURL(/\/find/);
  for (let count = 0; count < 12; count += 1) {
    await page.locator(`.find[data-readings="${saved}"] .odds-row`).first().waitFor();
    const settled = page.getByRole("button", { name: "This was it" });
    const measure = page.getByRole("link", { name: "Measure it" }).first();
    await settled.or(measure).first().waitFor();
    if (await settled.isVisible()) break;
    await page.screenshot({ path: join(shots, `find-searching-${world.size}.png`) });
    await measure.click();
    await page.getByRole("button", { name: "Read the practice meter" }).click();
    await page.getByRole("button", { name: "Save the reading" }).click();
    saved += 1;
    await page.waitForFunction(
      async ([name, all]) => (await (await fetch(`/api/grafts/${name}/readings`)).json()).readings.length === all,
      [graft, saved],
    );
    await stage(page, graft, "find");
  }
  const fault = proof.faults.find((one) => one.id === hidden);
  await page.locator(".settled .step-words", { hasText: fault.repair_words }).waitFor();
  await page.screenshot({ path: join(shots, `find-found-${world.size}.png`), fullPage: true });
  await page.getByRole("button", { name: "This was it" }).click();
  await page.getByRole("button", { name: "This was it: noted" }).waitFor();
});

test("odds move within 100 ms of a reading of another device", async (world) => {
  const bench = await open_page(world);
  const graft = await make_graft(bench, "odds", { example: true });
  const proof = await read_json(bench, `/api/grafts/${graft}/reports/prove`);
  await stage(bench, graft, "find");
  await bench.locator(".odds-row").first().waitFor();
  const times = [];
  for (let count = 0; count < 5; count += 1) {
    const test_id = proof.plan[count];
    const one = proof.tests.find((item) => item.id === test_id);
    const before = await bench.locator(".odds").textContent();
    const started = await bench.evaluate(
      async ([name, reading]) => {
        const answer = await fetch(`/api/grafts/${name}/readings`, {
          method: "POST",
          headers: { "Content-Type": "application/json" },
          body: JSON.stringify(reading),
        });
        if (!answer.ok) throw new Error(`refused: ${answer.status}`);
        return performance.now();
      },
      [graft, { id: `r${count}`, test: test_id, value: one.nominal ?? 1e9, unit: one.band.unit }],
    );
    const ended = await bench.waitForFunction((was) => document.querySelector(".odds")?.textContent !== was && performance.now(), before, {
      polling: 5,
    });
    times.push((await ended.jsonValue()) - started);
  }
  const median = times.sort((a, b) => a - b)[2];
  console.log(`odds moved ${Math.round(median)} ms after a reading (median of ${times.length})`);
  check(median < 250, `odds moved after ${median} ms`);
});

test("two devices share the plan: what one measured the other need not", async (world) => {
  const one = await open_page(world, { size: "phone" });
  const two = await open_page(world);
  const graft = await make_graft(one, "shared", { example: true });
  await practise(one, graft);
  await stage(two, graft, "prove");
  await two.locator(".step").first().waitFor();
  await one_step(one);
  await one_step(one);
  await two.getByText("1 of").first().waitFor();
  await two.getByText("phone (1)").first().waitFor();
});

// A small picture: the eight bytes that a PNG begins with are all that is looked at.
const picture = { name: "joint.png", mimeType: "image/png", buffer: Buffer.from("\x89PNG\r\n\x1a\n and no more", "latin1") };

at_both_sizes("a photo is removed by keyboard after a second question, and another device is told", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "photo", { example: true });
  await practise(page, graft);
  while (await page.getByRole("button", { name: /go on$/ }).isVisible()) await one_step(page);
  await page.locator(".photos input[type=file]").setInputFiles(picture);
  await page
    .locator(".photos")
    .getByRole("link", { name: /^Photo 1/ })
    .waitFor();
  const other = await open_page(world);
  await other.goto(page.url());
  await other
    .locator(".photos")
    .getByRole("link", { name: /^Photo 1/ })
    .waitFor();
  const remove = page.getByRole("button", { name: "Remove Photo 1" });
  const { width, height } = await remove.boundingBox();
  check(width >= 48 && height >= 48, `the button is ${width} x ${height}`);
  await remove.focus();
  await page.keyboard.press("Enter");
  await page.getByRole("group", { name: "Remove Photo 1" }).waitFor();
  await page.screenshot({ path: join(shots, `photo-question-${world.size}.png`) });
  await page.keyboard.press("Enter"); // the focus is on keeping it
  await remove.waitFor();
  equal((await read_json(page, `/api/grafts/${graft}/photos`)).photos[0].removed, undefined, "kept");
  await page.keyboard.press("Enter"); // and back on the button
  await page.getByRole("button", { name: "Remove it" }).waitFor();
  await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await page.getByText(/Photo 1 was removed/).waitFor();
  await other.getByText(/Photo 1 was removed/).waitFor();
  const { photos } = await read_json(page, `/api/grafts/${graft}/photos`);
  equal(photos.length, 1, "its place is kept");
  check(photos[0].removed, "and it says that it was removed");
});

// The demo's plan takes the old feed out of C3-1 and brings the valve's wire there.
at_both_sizes("the faces of a step show the loom as planned", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "planned", { example: true });
  const proof = await read_json(page, `/api/grafts/${graft}/reports/prove`);
  const one = proof.tests.find((item) => proof.plan.includes(item.id) && item.black === "found.C3:1" && item.red_at.side === "");
  await stage(page, graft, "prove", `?step=${encodeURIComponent(`test:${one.id}`)}`);
  const lit = page.locator(".probe-black .lit");
  await lit.waitFor();
  const words = await lit.textContent();
  check(words.includes("GN/OG") && words.includes("new wire"), `cavity 1 holds the planned wire: ${words}`);
  check(
    (await page.locator(".probe-black svg").textContent()).includes("Mating side, as planned"),
    "the side and the state of the loom are told",
  );
});

const enter = async (page, digits, size) => {
  if (size === "laptop") return page.keyboard.type(digits);
  for (const digit of digits) await page.locator(".keypad-keys").getByRole("button", { name: digit, exact: true }).click();
};

at_both_sizes("the next step is shown from its top, with what the last one read", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "top", { example: true });
  await stage(page, graft, "prove");
  await page.getByRole("button", { name: /go on$/ }).click();
  await page.locator(".probe svg").first().waitFor();
  const save = page.getByRole("button", { name: "Save the reading" });
  const lead = page.getByRole("button", { name: "Leads are on" });
  equal(await lead.isVisible(), world.size === "phone", "a way to the keypad, where it is a screen further down");
  if (world.size === "phone") await lead.click();
  const [band, last] = [await page.locator(".meter").boundingBox(), await save.boundingBox()];
  const top = (await page.locator(".topbar").boundingBox()).height;
  const foot = world.size === "phone" ? (await page.locator(".rail").boundingBox()).y : page.viewportSize().height;
  check(
    band.y >= top && last.y + last.height <= foot,
    `band and keypad are in one view: ${band.y} to ${last.y + last.height} of ${top} to ${foot}`,
  );
  // On the bench nothing has to be clicked before the figure is typed.
  await enter(page, "0.2", world.size);
  await page.locator(".keypad-shown", { hasText: "0.2" }).waitFor();
  if (world.size === "laptop") await page.keyboard.press("Enter");
  else await save.click();
  await title(page).filter({ hasText: "Step 2 of" }).waitFor();
  await page.locator(".step-before", { hasText: "Step 1: in band 0.2" }).waitFor();
  equal(await page.evaluate(() => window.scrollY), 0, "the page is at the top of the step");
  equal(
    await page.evaluate(() => document.activeElement?.getAttribute("aria-label")),
    await title(page).textContent(),
    "and so is the focus",
  );
  await enter(page, "0.3", world.size);
  await page.locator(".keypad-shown", { hasText: "0.3" }).waitFor();
});

test("a figure typed into a field of a dialog does not reach the meter", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "typed", { example: true });
  await stage(page, graft, "prove");
  await page.getByRole("button", { name: /go on$/ }).click();
  await page.locator(".keypad").waitFor();
  await page.getByRole("button", { name: "Settings" }).click();
  await page.getByLabel("Name of this device or person").fill("");
  await page.keyboard.type("42");
  await page.keyboard.press("Escape");
  equal(await page.locator(".keypad-shown").textContent(), "– Ω", "the meter shows nothing");
});

test("a plan in the making says what it is at, is stopped, and is asked for again", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "stopped", { example: true });
  await stage(page, graft, "prove");
  await page.locator(".job", { hasText: "Planning the measurements" }).waitFor();
  await page.getByRole("button", { name: "Stop" }).click();
  await page.getByText("Stopped.").waitFor();
  await page.getByRole("button", { name: "Planning the measurements: try again" }).click();
  await page.locator(".step").first().waitFor();
  equal(await page.getByText("Stopped.").count(), 0, "what was stopped is no longer told");
});
