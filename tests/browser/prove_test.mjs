// The measuring screens: a whole plan at phone size without a connection in its middle third, the search for a hidden
// fault, and what two devices see of each other.

import { join } from "node:path";
import { at_both_sizes, at_size, check, equal, open_page, shots, test, timed_test } from "./runner.mjs";
import { start_server } from "./server.mjs";
import { button, make_graft, names, proof_of, read_json, stage } from "./steps.mjs";

// The screen of a step, or of the change of condition before it. `data-key` says which one, `data-step` its number.
const screen = (page) => page.locator(".step[data-key]");
const key_of = (page) => screen(page).getAttribute("data-key");
const step_number = async (page) => Number((await screen(page).getAttribute("data-step")) ?? 0);

// Another step, a result out of band, or the end of the plan.
const after_saving = (page, key) =>
  page.waitForFunction((before) => {
    const step = document.querySelector(".step[data-key]");
    return step?.dataset.key !== before || step.querySelector('.step-result[data-result="out_of_band"]');
  }, key);

const another_step = (page, key) =>
  page.waitForFunction((before) => document.querySelector(".step[data-key]")?.dataset.key !== before, key);

async function practise(page, graft) {
  const proof = await proof_of(page, graft);
  await stage(page, graft, "prove");
  await screen(page).waitFor();
  const whole_plan = page.locator(".whole-plan > summary");
  if (await whole_plan.isVisible()) await whole_plan.click();
  await page.getByRole("button", { name: names.practise }).click();
  await page.locator(".practice").waitFor();
  return proof;
}

async function read_practice_meter(page) {
  await button(page, names.practice_meter).click();
  await button(page, names.save_reading).click();
}

const next_after_condition = (page) => page.locator(".step-condition .step-next");

// One screen on: a change of condition, or a reading. A result out of band is skipped, as a person would not do.
async function one_step(page, enter = read_practice_meter) {
  const key = await key_of(page);
  if (await next_after_condition(page).isVisible()) await next_after_condition(page).click();
  else {
    await enter(page);
    await after_saving(page, key);
    const next = button(page, names.next_step);
    if (await next.isVisible()) await next.click();
  }
  await another_step(page, key);
}

const in_band = (page) => button(page, names.save_in_band).click();

// Everything that has to be looked at before the first step with power.
async function confirm_all(page, graft, proof) {
  for (const hazard of proof.to_confirm) {
    await page.evaluate(
      ([name, subject]) =>
        fetch(`/api/grafts/${name}/ticks/${encodeURIComponent(subject)}`, {
          method: "PUT",
          headers: { "Content-Type": "application/json" },
          body: JSON.stringify({ done: true }),
        }),
      [graft, hazard.confirm_subject],
    );
  }
}

test("a whole plan in the footwell, its middle third without a connection, the program killed meanwhile", async (world) => {
  const page = await open_page(world, { size: "phone" });
  const graft = await make_graft(page, "footwell", { example: true });
  const proof = await proof_of(page, graft);
  await confirm_all(page, graft, proof);
  await stage(page, graft, "prove");
  await screen(page).waitFor();
  await page.waitForFunction(() => document.querySelector(".probe .drawing-box svg") || document.querySelector(".step-next"));
  const steps = proof.plan.length;
  while ((await step_number(page)) <= steps / 3) await one_step(page, in_band);
  await page.context().setOffline(true);
  await world.server.kill();
  while ((await step_number(page)) <= (2 * steps) / 3) await one_step(page, in_band);
  await page.locator('.send-state:not([data-pending="0"])').waitFor();
  await page.screenshot({ path: join(shots, "prove-offline-phone.png") });
  world.server = await start_server(world.server.folder, world.server.port);
  await page.context().setOffline(false);
  await page.evaluate(() => window.dispatchEvent(new Event("online")));
  while ((await page.locator("[data-all-done]").count()) === 0) await one_step(page, in_band);
  await page.locator('.send-state[data-pending="0"]').waitFor();
  const { readings } = await read_json(page, `/api/grafts/${graft}/readings`);
  equal(new Set(readings.map((reading) => reading.id)).size, readings.length, "no reading is doubled");
  const measured = new Set(readings.map((reading) => reading.test));
  equal(proof.plan.filter((id) => !measured.has(id)).length, 0, "no reading of the plan is missing");
  equal(readings.length, steps, "one reading for each step");
});

at_size("phone", "the search finds the hidden swap", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "hidden", { example: true });
  const proof = await practise(page, graft);
  const hidden = await page.evaluate((name) => sessionStorage.getItem(`loomgraft.practice.${name}`), graft);
  const fault = proof.faults.find((one) => one.id === hidden);
  equal(fault.kind, "swapped_wires", "the hidden fault is a swap");
  const find = page.locator(".step-test a.step-next");
  let saved = 0;
  for (let count = 0; count < 2 * proof.plan.length; count += 1) {
    if (await next_after_condition(page).isVisible()) {
      await next_after_condition(page).click();
      continue;
    }
    const key = await key_of(page);
    await read_practice_meter(page);
    saved += 1;
    await after_saving(page, key);
    if (await find.isVisible()) {
      await find.click();
      break;
    }
  }
  await page.waitForURL(/\/find/);
  // The swap is isolated, or stands first when no reading tells more.
  const found = page.locator("section.isolated, section.begin-with");
  for (let count = 0; count < 12; count += 1) {
    await page.locator(`.find[data-readings="${saved}"] .probability-row`).first().waitFor();
    const measure = page.locator(".next-tests a").first();
    await found.or(measure).first().waitFor();
    if (await found.isVisible()) break;
    await page.screenshot({ path: join(shots, `find-searching-${world.size}.png`) });
    await measure.click();
    await read_practice_meter(page);
    saved += 1;
    await page.waitForFunction(
      ([name, all]) => JSON.parse(sessionStorage.getItem(`loomgraft.practice_readings.${name}`) ?? "[]").length === all,
      [graft, saved],
    );
    await stage(page, graft, "find");
  }
  await found.locator(".step-text", { hasText: fault.repair_text }).waitFor();
  await page.screenshot({ path: join(shots, `find-found-${world.size}.png`), fullPage: true });
  equal(await found.locator("button").count(), 0, "practice has nothing to confirm");
  const { readings } = await read_json(page, `/api/grafts/${graft}/readings`);
  equal(readings.length, 0, "nothing of practice is in the graft");
});

timed_test("probabilities change at once after a reading of another device", async (world) => {
  const bench = await open_page(world);
  const graft = await make_graft(bench, "odds", { example: true });
  const proof = await proof_of(bench, graft);
  await stage(bench, graft, "find");
  await bench.locator(".probability-row").first().waitFor();
  const times = [];
  // The steps that expose most: each of their readings moves the odds that are shown.
  const exposing = proof.tests.filter((item) => proof.plan.includes(item.id)).sort((a, b) => b.exposes.length - a.exposes.length);
  for (let count = 0; count < 5; count += 1) {
    const one = exposing[count];
    const test_id = one.id;
    const before = await bench.locator(".probabilities").textContent();
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
    const ended = await bench.waitForFunction(
      (was) => document.querySelector(".probabilities")?.textContent !== was && performance.now(),
      before,
      {
        polling: 5,
      },
    );
    times.push((await ended.jsonValue()) - started);
  }
  const median = times.sort((a, b) => a - b)[2];
  console.log(`probabilities changed ${Math.round(median)} ms after a reading (median of ${times.length})`);
  check(median < 250, `probabilities changed after ${median} ms`);
});

test("two devices share the plan: one need not measure what the other has measured", async (world) => {
  const one = await open_page(world, { size: "phone" });
  const two = await open_page(world);
  const graft = await make_graft(one, "shared", { example: true });
  for (const page of [one, two]) {
    await stage(page, graft, "prove");
    await screen(page).waitFor();
  }
  while (await next_after_condition(one).isVisible()) await one_step(one);
  const key = await key_of(one);
  await button(one, names.save_in_band).click();
  await another_step(one, key);
  await two.locator('.plan-progress[data-done="1"]').waitFor();
  await two.getByText("phone (1)").first().waitFor();
});

// A small picture: the program looks only at the first eight bytes of a PNG.
const picture = { name: "joint.png", mimeType: "image/png", buffer: Buffer.from("\x89PNG\r\n\x1a\n and no more", "latin1") };

at_size("laptop", "a photo is removed by keyboard after a second question, and another device shows it", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "photo", { example: true });
  await practise(page, graft);
  while (await next_after_condition(page).isVisible()) await one_step(page);
  await page.locator(".photos input[type=file]").setInputFiles(picture);
  await page.locator(".photos").getByRole("link", { name: names.photo }).waitFor();
  const other = await open_page(world);
  await other.goto(page.url());
  await other.locator(".photos").getByRole("link", { name: names.photo }).waitFor();
  const remove = page.getByRole("button", { name: names.remove_photo });
  const { width, height } = await remove.boundingBox();
  check(width >= 48 && height >= 48, `the button is ${width} x ${height}`);
  await remove.focus();
  await page.keyboard.press("Enter");
  await page.getByRole("group", { name: names.remove_photo }).waitFor();
  await page.screenshot({ path: join(shots, `photo-question-${world.size}.png`) });
  await page.keyboard.press("Enter"); // the focus is on keeping it
  await remove.waitFor();
  equal((await read_json(page, `/api/grafts/${graft}/photos`)).photos[0].removed, undefined, "kept");
  await page.keyboard.press("Enter"); // the focus is back on the button
  await page.getByRole("button", { name: names.remove_it }).waitFor();
  await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await page.getByText(names.photo_removed).waitFor();
  await other.getByText(names.photo_removed).waitFor();
  const { photos } = await read_json(page, `/api/grafts/${graft}/photos`);
  equal(photos.length, 1, "its entry is kept");
  check(photos[0].removed, "and it says that it was removed");
});

// The demo's plan takes the old feed out of C3-1 and puts the valve's wire there.
at_both_sizes("the faces of a step show the loom as planned", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "planned", { example: true });
  const proof = await proof_of(page, graft);
  const one = proof.tests.find((item) => proof.plan.includes(item.id) && item.black === "found.C3:1" && item.red_at.side === "");
  await stage(page, graft, "prove", `?step=${encodeURIComponent(`test:${one.id}`)}`);
  const cavity = page.locator(".probe-black .highlighted");
  await cavity.waitFor();
  const text = await cavity.textContent();
  check(text.includes("GN/OG") && text.includes(names.drawing.new_wire), `cavity 1 has the planned wire: ${text}`);
  const face = await page.locator(".probe-black svg").textContent();
  check(face.includes(names.drawing.mating_as_planned), `the drawing says the side and the state of the loom: ${face}`);
});

const enter = async (page, digits, size) => {
  if (size === "laptop") return page.keyboard.type(digits);
  for (const digit of digits) await page.locator(".keypad-keys").getByRole("button", { name: digit, exact: true }).click();
};

at_both_sizes("the next step is shown from its top, with the reading of the step before", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "top", { example: true });
  const proof = await proof_of(page, graft);
  const in_band = proof.plan.map((id) => {
    const { nominal } = proof.tests.find((one) => one.id === id);
    return nominal >= 100 ? String(Math.round(nominal)) : nominal.toFixed(1);
  });
  await stage(page, graft, "prove");
  await next_after_condition(page).click();
  await page.locator(".probe svg").first().waitFor();
  const save = button(page, names.save_reading);
  const to_keypad = button(page, names.leads_are_on);
  equal(await to_keypad.isVisible(), world.size === "phone", "a button to the keypad where it is one screen further down");
  if (world.size === "phone") await to_keypad.click();
  const [band, last] = [await page.locator(".meter").boundingBox(), await save.boundingBox()];
  const top = (await page.locator(".topbar").boundingBox()).height;
  const bottom = world.size === "phone" ? (await page.locator(".rail").boundingBox()).y : page.viewportSize().height;
  check(
    band.y >= top && last.y + last.height <= bottom,
    `band and keypad are in one view: ${band.y} to ${last.y + last.height} of ${top} to ${bottom}`,
  );
  // On the bench nothing has to be clicked before the value is typed.
  await enter(page, in_band[0], world.size);
  await page.locator(".keypad-shown", { hasText: in_band[0] }).waitFor();
  if (world.size === "laptop") await page.keyboard.press("Enter");
  else await save.click();
  await page.locator('.step[data-step="2"]').waitFor();
  await page.locator('.step-before[data-step="1"][data-result="in_band"]').waitFor();
  equal(await page.evaluate(() => window.scrollY), 0, "the page is at the top of the step");
  check(await screen(page).evaluate((step) => step === document.activeElement), "the focus is on the step");
  equal(await screen(page).getAttribute("aria-label"), await screen(page).locator("h2").textContent(), "which its title names");
  await enter(page, "0.3", world.size);
  await page.locator(".keypad-shown", { hasText: "0.3" }).waitFor();
});

test("a value typed into a field of a dialog does not reach the keypad", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "typed", { example: true });
  await stage(page, graft, "prove");
  await next_after_condition(page).click();
  await page.locator(".keypad").waitFor();
  await button(page, names.settings).click();
  await page.getByLabel(names.device_name).fill("");
  await page.keyboard.type("42");
  await page.keyboard.press("Escape");
  equal(await page.locator(".keypad-shown").textContent(), "– Ω", "the keypad shows nothing");
});

test("a calculation shows its progress, can be stopped, and can be started again", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "stopped", { example: true });
  await stage(page, graft, "prove");
  const progress = page.locator("main .job");
  await progress.waitFor();
  check((await progress.locator("progress").getAttribute("aria-label")).length > 5, "the progress bar says what is computed");
  await button(progress, names.stop).click();
  const stopped = page.getByText(names.stopped);
  await stopped.waitFor();
  await page.getByRole("button", { name: names.try_again }).click();
  await screen(page).waitFor();
  equal(await stopped.count(), 0, "the message is gone");
});
