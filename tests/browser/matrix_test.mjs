// The table of steps and faults: picked by mouse, finger and keys, filtered, marked by readings, fast when large.
import { join } from "node:path";
import { violations } from "./axe.mjs";
import { at_size, check, equal, open_page, shots, test, timed_test } from "./runner.mjs";
import { button, make_graft, names, proof_of, send, stage } from "./steps.mjs";

async function post_reading(page, graft, reading) {
  equal(await send(page, "POST", `/api/grafts/${graft}/readings`, reading), 201, "the reading is stored");
}

async function open_matrix(page, graft) {
  await stage(page, graft, "prove");
  await page.locator(".proof-matrix > summary").click();
  await page.locator(".matrix-grid").waitFor();
}

const cell = (page) => page.locator("#matrix-at");
const fault = (page) => page.locator('[data-details="fault"]');
const step = (page) => page.locator('[data-details="step"]');
const rows = async (page) => Number(await page.locator(".matrix [data-rows]").getAttribute("data-rows"));

// A row with a single fault, so that its text is the fault's own.
// Of steps without power only: the others are not shown before hazards are confirmed.
const single_fault_row = (proof) => {
  const is_live = new Map(proof.conditions.map((one) => [one.id, one.live]));
  return proof.matrix.findIndex((ids, row) => {
    const steps = proof.tests.filter((one) => proof.plan.includes(one.id) && one.exposes.includes(ids[0]));
    return ids.length === 1 && row > 2 && steps.length > 0 && steps.every((one) => !is_live.get(one.condition));
  });
};

at_size("laptop", "the table of steps and faults: pointer and keys pick rows, steps and cells", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "matrix", { example: true });
  const proof = await proof_of(page, graft);
  await open_matrix(page, graft);
  equal(await rows(page), proof.matrix.length, "a row for all faults that look alike");
  const grid = page.locator(".matrix-grid");
  const box = await grid.boundingBox();
  const press = (x, y) => (world.size === "phone" ? page.touchscreen.tap(box.x + x, box.y + y) : page.mouse.click(box.x + x, box.y + y));
  await grid.scrollIntoViewIfNeeded();
  Object.assign(box, await grid.boundingBox());
  await press(20, 20);
  const step_1 = page.locator('[data-details="step"][data-step="1"]');
  if (world.size === "phone") await step_1.waitFor();
  else equal((await step(page).count()) + (await fault(page).count()), 0, "the corner above the text is neither a fault nor a step");
  await press(30, 62);
  await fault(page).waitFor();
  await grid.focus();
  await page.keyboard.press("Control+Home");
  const first = proof.faults.find((one) => one.id === proof.matrix[0][0]);
  await fault(page).getByText(first.text.slice(1)).first().waitFor();
  await step_1.waitFor();
  // Every mark along a row is a step that detects its faults.
  const row = single_fault_row(proof);
  for (let down = 0; down < row; down += 1) await page.keyboard.press("ArrowDown");
  const id = proof.matrix[row][0];
  const wanted = proof.plan.flatMap((one, index) => (proof.tests.find((item) => item.id === one).exposes.includes(id) ? [index + 1] : []));
  const at = () => cell(page).evaluate(({ dataset }) => ({ step: Number(dataset.step), detects: dataset.detects === "true" }));
  const found = (await at()).detects ? [1] : [];
  for (;;) {
    const before = await at();
    await page.keyboard.press("Control+ArrowRight");
    const after = await at();
    if (after.step === before.step) break;
    check(after.detects, `Control and an arrow go to a mark, not to step ${after.step}`);
    found.push(after.step);
  }
  equal(found.join(), wanted.join(), `the steps that detect ${id}`);
  equal(await fault(page).getAttribute("data-steps"), String(wanted.length), "the details count them too");
  check((await cell(page).textContent()).includes(`Step ${found.at(-1)} `), "a screen reader reads the step");
  await fault(page).locator(".with-fault").first().waitFor();
  const wrong = (await violations(page)).join("\n");
  equal(wrong, "", "axe-core finds nothing");
  await page.screenshot({ path: join(shots, `matrix-${world.size}.png`) });
  await button(step(page), names.go_to_step).click();
  await page.locator(`.step[data-step="${found.at(-1)}"]`).waitFor();
});

test("the table of steps and faults: filters and readings", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "filters", { example: true });
  const proof = await proof_of(page, graft);
  await open_matrix(page, graft);
  const by_id = new Map(proof.faults.map((one) => [one.id, one]));
  const steps_of = (ids) => proof.plan.filter((one) => proof.tests.find((item) => item.id === one).exposes.includes(ids[0]));
  const harmful = proof.matrix.filter((ids) => ids.some((one) => ["damage", "fire"].includes(by_id.get(one).harm)));
  const unexposed = proof.matrix.filter((ids) => steps_of(ids).length === 0);
  const filter = (name) => page.locator(`.matrix [data-filter="${name}"]`);
  await filter("harmful").check();
  equal(await rows(page), harmful.length, "what could do harm");
  await filter("harmful").uncheck();
  await filter("unexposed").check();
  equal(await rows(page), unexposed.length, "what no step detects");
  await page.locator(".matrix-grid").focus();
  await page.keyboard.press("Control+Home");
  await fault(page).locator("[data-unexposed]").waitFor();
  await filter("unexposed").uncheck();
  await filter("text").fill("PTO lamp");
  const with_text = proof.matrix.filter((ids) => ids.some((one) => by_id.get(one).text.includes("PTO lamp")));
  equal(await rows(page), with_text.length, "what contains the text");
  await filter("text").fill("");
  // Step 1 in band rules out what it detects; step 2 out of band rules out nothing.
  const [one, two, three] = proof.plan.map((id) => proof.tests.find((item) => item.id === id));
  await post_reading(page, graft, { id: "a", test: one.id, value: one.nominal ?? 1e9, unit: one.band.unit });
  await post_reading(page, graft, { id: "b", test: two.id, value: 12345, unit: two.band.unit });
  await post_reading(page, graft, { id: "c", test: three.id, value: 0, unit: "unreached" });
  await filter("open").check();
  const open = proof.matrix.filter((ids) => !one.exposes.includes(ids[0]));
  await page.locator(`.matrix [data-rows="${open.length}"]`).waitFor();
  await filter("open").uncheck();
  await page.locator(".matrix-grid").focus();
  await page.keyboard.press("Control+Home");
  const head = page.locator(".matrix-at [role=columnheader]").nth(1);
  for (const result of ["in_band", "out_of_band", "unreached", "to_do"]) {
    equal(await head.getAttribute("data-result"), result, "the result of the step");
    check((await head.textContent()).endsWith(names.results[result]), "and as text");
    await page.keyboard.press("ArrowRight");
  }
  const sheet = await page.evaluate(async (name) => (await fetch(`/api/grafts/${name}/drawings/matrix`)).text(), graft);
  for (const result of ["in-band", "out-of-band", "unreached"]) {
    check(sheet.includes(`class="${result}"`), `the sheet to print has the readings too: ${result}`);
  }
});

// A made-up plan of any size: every fault has a row of its own, and five steps.
function made_up(faults, steps) {
  const point = { at: "C1", cavity: "1", side: "", text: "C1 1" };
  const fault_id = (index) => `fault ${index}`;
  const tests = Array.from({ length: steps }, (_, step) => ({
    id: `test ${step}`,
    kind: "volts",
    condition: step < steps / 2 ? "dead" : "live",
    red: "C1:1",
    black: "body",
    red_at: point,
    black_at: point,
    clamp: "",
    setting: "volts",
    nominal: 0,
    band: { low: 0, high: 1, unit: "V" },
    minutes: 1,
    access: [],
    text: `measurement ${step}`,
    exposes: [],
  }));
  for (let index = 0; index < faults; index += 1) {
    for (let k = 0; k < 5; k += 1) tests[(index * 7 + k * k * 13) % steps].exposes.push(fault_id(index));
  }
  for (const one of tests) one.exposes = [...new Set(one.exposes)];
  const condition = (id, live) => ({
    id,
    text: id,
    live,
    minutes: 1,
    unplugged: [],
    removed: [],
    key: "off",
    battery_off: !live,
    jumpers: [],
    cautions: [],
  });
  return {
    tests,
    plan: tests.map((one) => one.id),
    steps: [],
    curve: [],
    budget: null,
    plan_minutes: 1,
    fault_count: faults,
    test_plugs: [],
    test_plugs_save: 0,
    bound_minutes: 1,
    optimal: true,
    unexposed: [],
    joint_ohms: [],
    matrix: Array.from({ length: faults }, (_, index) => [fault_id(index)]),
    conditions: [condition("dead", false), condition("live", true)],
    faults: Array.from({ length: faults }, (_, index) => ({
      id: fault_id(index),
      kind: "wire_open",
      text: `wire n_${index} and wire w_${index * 3} are in each other's place (C2 ${index} and C3 ${index})`,
      repair: "r",
      repair_text: "repair it",
      prior: 0.001,
      harm: ["none", "false_signal", "damage", "fire"][index % 4],
      added: true,
      subjects: [],
    })),
    over_range_ohm: 5e7,
    refused: [],
    to_confirm: [],
    assumptions: [],
    problems: [],
  };
}

// About ten times what was measured, because test machines are shared; the page promises 100 ms.
const open_most_ms = 600;
const task_most_ms = 300;

for (const [faults, steps] of [
  [500, 72],
  [2000, 300],
]) {
  timed_test(`the table of steps and faults stays fast at ${faults} x ${steps}`, async (world) => {
    const page = await open_page(world);
    const graft = await make_graft(page, "large", { example: true });
    const report = JSON.stringify(made_up(faults, steps));
    await page.route("**/reports/prove", (route) => route.fulfill({ status: 200, contentType: "application/json", body: report }));
    await page.route("**/reports/practice**", (route) =>
      route.fulfill({ status: 200, contentType: "application/json", body: '{"fault":"","readings":[]}' }),
    );
    await stage(page, graft, "prove");
    await page.locator(".proof-matrix").waitFor();
    const figures = await page.evaluate(async () => {
      const tasks = [];
      new PerformanceObserver((list) => tasks.push(...list.getEntries().map((one) => one.duration))).observe({ type: "longtask" });
      const frame = () => new Promise((done) => requestAnimationFrame(() => done(performance.now())));
      const started = performance.now();
      document.querySelector(".proof-matrix > summary").click();
      while (!document.querySelector(".matrix-grid canvas")?.width || document.querySelector(".matrix-grid canvas").width === 300)
        await frame();
      const opened = (await frame()) - started;
      const grid = document.querySelector(".matrix-grid");
      const frames = [];
      let before = await frame();
      for (let count = 0; count < 60; count += 1) {
        grid.scrollTop += grid.scrollHeight / 60;
        grid.scrollLeft += grid.scrollWidth / 60;
        const now = await frame();
        frames.push(now - before);
        before = now;
      }
      const moves = [];
      for (let count = 0; count < 40; count += 1) {
        const from = performance.now();
        grid.dispatchEvent(new KeyboardEvent("keydown", { key: count % 2 ? "PageUp" : "ArrowRight", bubbles: true, cancelable: true }));
        await frame();
        moves.push((await frame()) - from);
      }
      const middle = (list) => [...list].sort((a, b) => a - b)[list.length >> 1];
      return { opened, scrolled: middle(frames), moved: middle(moves), longest: Math.max(0, ...tasks) };
    });
    console.log(
      `${faults} x ${steps}: opened in ${Math.round(figures.opened)} ms, a frame of scrolling ${figures.scrolled.toFixed(1)} ms, a key ${figures.moved.toFixed(1)} ms, longest task ${Math.round(figures.longest)} ms`,
    );
    check(figures.opened < open_most_ms, `opened in ${figures.opened} ms`);
    check(figures.longest < task_most_ms, `blocked the page for ${figures.longest} ms`);
    await page.locator(".matrix-grid").focus();
    await page.keyboard.press("Control+End");
    await fault(page)
      .getByText(`C3 ${faults - 1}`)
      .first()
      .waitFor();
  });
}
