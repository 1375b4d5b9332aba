// The table of steps against mistakes: picked by mouse, finger and keys, filtered, marked by readings, quick when large.
import { join } from "node:path";
import { violations } from "./axe.mjs";
import { at_both_sizes, check, equal, open_page, shots, test } from "./runner.mjs";
import { make_graft, stage } from "./steps.mjs";

const summary = "Which step shows which mistake";

async function proof_of(page, graft) {
  for (;;) {
    const [status, value] = await page.evaluate(async (name) => {
      const answer = await fetch(`/api/grafts/${name}/reports/prove`);
      return [answer.status, await answer.json()];
    }, graft);
    if (status === 200) return value;
    check(status === 202, `the proof was refused: ${status}`);
  }
}

async function post_reading(page, graft, reading) {
  const status = await page.evaluate(
    async ([name, body]) =>
      (
        await fetch(`/api/grafts/${name}/readings`, {
          method: "POST",
          headers: { "Content-Type": "application/json" },
          body: JSON.stringify(body),
        })
      ).status,
    [graft, reading],
  );
  equal(status, 201, "the reading is taken");
}

async function open_matrix(page, graft) {
  await stage(page, graft, "prove");
  await page.getByText(summary).click();
  await page.locator(".matrix-grid").waitFor();
}

const cell = (page) => page.locator("#matrix-at");
const fault = (page) => page.locator('[aria-label="The mistake"]');
const step = (page) => page.locator('[aria-label="The step"]');
const rows = async (page) => Number(/^(\d+)/.exec((await page.locator(".matrix [role=status]").textContent()) ?? "")?.[1] ?? -1);

// Of this many a row holds one, so its words are the fault's own.
const lone_row = (proof) =>
  proof.matrix.findIndex(
    (ids, row) => ids.length === 1 && row > 2 && proof.tests.some((one) => proof.plan.includes(one.id) && one.exposes.includes(ids[0])),
  );

at_both_sizes("the table of steps and mistakes: pointer and keys pick rows, steps and cells", async (world) => {
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
  if (world.size === "phone")
    await step(page)
      .getByText(/^Step 1 of/)
      .waitFor();
  else equal((await step(page).count()) + (await fault(page).count()), 0, "the corner above the words is neither a mistake nor a step");
  await press(30, 62);
  await fault(page).waitFor();
  await grid.focus();
  await page.keyboard.press("Control+Home");
  const first = proof.faults.find((one) => one.id === proof.matrix[0][0]);
  await fault(page).getByText(first.words.slice(1)).first().waitFor();
  await step(page)
    .getByText(/^Step 1 of/)
    .waitFor();
  // Every mark along a row is a step that exposes its faults.
  const row = lone_row(proof);
  for (let down = 0; down < row; down += 1) await page.keyboard.press("ArrowDown");
  const id = proof.matrix[row][0];
  const wanted = proof.plan.flatMap((one, index) => (proof.tests.find((item) => item.id === one).exposes.includes(id) ? [index + 1] : []));
  const found = /shows it/.test(await cell(page).textContent()) && !/does not/.test(await cell(page).textContent()) ? [1] : [];
  for (;;) {
    const before = await cell(page).textContent();
    await page.keyboard.press("Control+ArrowRight");
    const after = await cell(page).textContent();
    if (after === before) break;
    check(!after.includes("does not"), `Control and an arrow go to a mark: ${after}`);
    found.push(Number(/Step (\d+)/.exec(after)[1]));
  }
  equal(found.join(), wanted.join(), `the steps that show ${id}`);
  await fault(page)
    .getByText(`${wanted.length} ${wanted.length === 1 ? "step shows" : "steps show"} it:`)
    .waitFor();
  await fault(page)
    .getByText(/would show/)
    .first()
    .waitFor();
  const wrong = (await violations(page)).join("\n");
  equal(wrong, "", "axe-core finds nothing");
  await page.screenshot({ path: join(shots, `matrix-${world.size}.png`) });
  const last = found.at(-1);
  await step(page).getByRole("button", { name: "Go to this step" }).click();
  await page.locator(".step h2", { hasText: `Step ${last} of` }).waitFor();
});

test("the table of steps and mistakes: filters, and what readings make of it", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "filters", { example: true });
  const proof = await proof_of(page, graft);
  await open_matrix(page, graft);
  const by_id = new Map(proof.faults.map((one) => [one.id, one]));
  const steps_of = (ids) => proof.plan.filter((one) => proof.tests.find((item) => item.id === one).exposes.includes(ids[0]));
  const harmful = proof.matrix.filter((ids) => ids.some((one) => ["damage", "fire"].includes(by_id.get(one).harm)));
  const unexposed = proof.matrix.filter((ids) => steps_of(ids).length === 0);
  const only = (words) => page.getByLabel(words);
  await only("Only what could damage or burn").check();
  equal(await rows(page), harmful.length, "what could do harm");
  await only("Only what could damage or burn").uncheck();
  await only("Only what no step shows").check();
  equal(await rows(page), unexposed.length, "what no step shows");
  await page.locator(".matrix-grid").focus();
  await page.keyboard.press("Control+Home");
  await fault(page).getByText("No step shows it.").waitFor();
  await only("Only what no step shows").uncheck();
  await only("With these words in it").fill("PTO lamp");
  equal(
    await rows(page),
    proof.matrix.filter((ids) => ids.some((one) => by_id.get(one).words.includes("PTO lamp"))).length,
    "what has the words",
  );
  await only("With these words in it").fill("");
  // Step 1 in band rules out what it shows; step 2 out of band rules out nothing.
  const [one, two, three] = proof.plan.map((id) => proof.tests.find((item) => item.id === id));
  await post_reading(page, graft, { id: "a", test: one.id, value: one.nominal ?? 1e9, unit: one.band.unit });
  await post_reading(page, graft, { id: "b", test: two.id, value: 12345, unit: two.band.unit });
  await post_reading(page, graft, { id: "c", test: three.id, value: 0, unit: "unreached" });
  await only("Only what no reading has ruled out yet").check();
  const left = proof.matrix.filter((ids) => !one.exposes.includes(ids[0]));
  await page.locator(".matrix [role=status]", { hasText: new RegExp(`^${left.length} of`) }).waitFor();
  await only("Only what no reading has ruled out yet").uncheck();
  await page.locator(".matrix-grid").focus();
  await page.keyboard.press("Control+Home");
  const heads = [];
  for (let step = 0; step < 4; step += 1) {
    heads.push(/, ([^,]*)$/.exec(await page.locator(".matrix-at [role=columnheader]").nth(1).textContent())[1]);
    await page.keyboard.press("ArrowRight");
  }
  equal(heads.join("; "), "in band; out of band; cannot be reached; to do", "what was read is told in words");
  const sheet = await page.evaluate(async (name) => (await fetch(`/api/grafts/${name}/drawings/matrix`)).text(), graft);
  check(sheet.includes("out of band: it may be there"), "the sheet to print has the readings too");
});

// A plan of this size that nobody's loom has: every fault a row of its own, five steps to each.
function made_up(faults, steps) {
  const places = { at: "C1", cavity: "1", side: "", words: "C1 1" };
  const fault_id = (index) => `fault ${index}`;
  const tests = Array.from({ length: steps }, (_, step) => ({
    id: `test ${step}`,
    kind: "volts",
    condition: step < steps / 2 ? "dead" : "live",
    red: "C1:1",
    black: "body",
    red_at: places,
    black_at: places,
    clamp: "",
    setting: "volts",
    nominal: 0,
    band: { low: 0, high: 1, unit: "V" },
    minutes: 1,
    words: `measurement ${step}`,
    exposes: [],
  }));
  for (let index = 0; index < faults; index += 1) {
    for (let k = 0; k < 5; k += 1) tests[(index * 7 + k * k * 13) % steps].exposes.push(fault_id(index));
  }
  for (const one of tests) one.exposes = [...new Set(one.exposes)];
  const state = (id, live) => ({
    id,
    words: id,
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
    plan_minutes: 1,
    bound_minutes: 1,
    optimal: true,
    unexposed: [],
    joint_ohms: [],
    matrix: Array.from({ length: faults }, (_, index) => [fault_id(index)]),
    conditions: [state("dead", false), state("live", true)],
    faults: Array.from({ length: faults }, (_, index) => ({
      id: fault_id(index),
      kind: "wire_open",
      words: `wire n_${index} and wire w_${index * 3} are in each other's place (C2 ${index} and C3 ${index})`,
      repair: "r",
      repair_words: "mend it",
      prior: 0.001,
      harm: ["none", "false_signal", "damage", "fire"][index % 4],
      added: true,
      subjects: [],
    })),
    over_range_ohm: 5e7,
    refused: [],
    assumptions: [],
    problems: [],
  };
}

// Some ten times what was measured, for machines are shared; the page promises 100 ms.
const open_most_ms = 600;
const task_most_ms = 300;

for (const [faults, steps] of [
  [500, 72],
  [2000, 300],
]) {
  test(`the table of steps and mistakes stays quick at ${faults} x ${steps}`, async (world) => {
    const page = await open_page(world);
    const graft = await make_graft(page, "large", { example: true });
    const report = JSON.stringify(made_up(faults, steps));
    await page.route("**/reports/prove", (route) => route.fulfill({ status: 200, contentType: "application/json", body: report }));
    await page.route("**/reports/practice**", (route) =>
      route.fulfill({ status: 200, contentType: "application/json", body: '{"fault":"","readings":[]}' }),
    );
    await stage(page, graft, "prove");
    await page.getByText(summary).waitFor();
    const figures = await page.evaluate(async (words) => {
      const tasks = [];
      new PerformanceObserver((list) => tasks.push(...list.getEntries().map((one) => one.duration))).observe({ type: "longtask" });
      const frame = () => new Promise((done) => requestAnimationFrame(() => done(performance.now())));
      const started = performance.now();
      [...document.querySelectorAll("summary")].find((one) => one.textContent === words).click();
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
    }, summary);
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
