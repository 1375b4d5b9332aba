// A meter on the workbench computer: its value becomes the reading once for each touch, never without the leads.
import { join } from "node:path";
import { start_meter } from "../instrument/simulated_meter.mjs";
import { violations } from "./axe.mjs";
import { load } from "./load.mjs";
import { at_both_sizes, at_size, check, equal, open_page, shots, test, until_idle } from "./runner.mjs";
import { new_folder, start_server } from "./server.mjs";
import { button, make_graft, names, proof_of, read_json, stage } from "./steps.mjs";

const panel = (page) => page.getByRole("region", { name: names.meter.panel });
const live = (page) => panel(page).locator(".meter-live");
const live_is = (page, text) => live(page).filter({ hasText: text }).waitFor();
const steady_is = (page, text) => panel(page).locator('.meter-live[data-steady="true"]', { hasText: text }).waitFor();
const step = (page, id) => page.locator(`.step[data-key="test:${id}"]`);
const readings_of = async (page, graft) => (await read_json(page, `/api/grafts/${graft}/readings`)).readings;

// The page goes on while the reading is on its way.
const readings_come = async (page, graft, count) => {
  await page.waitForFunction(
    async ([name, wanted]) => (await (await fetch(`/api/grafts/${name}/readings`)).json()).readings.length >= wanted,
    [graft, count],
  );
  return readings_of(page, graft);
};

// The program with a meter, a page on the first step in ohms, and the plan.
async function with_meter(world, body, { size = "laptop", context = {} } = {}) {
  const meter = await start_meter();
  try {
    await world.server.stop();
    world.server = await start_server(new_folder(), 0, ["--meter", meter.address]);
    const page = await open_page(world, { size, context });
    const graft = await make_graft(page, "metered", { example: true });
    const proof = await proof_of(page, graft);
    const plan = proof.plan.map((id) => proof.tests.find((one) => one.id === id));
    await body({ meter, page, graft, proof, plan });
  } finally {
    await world.server.stop();
    await meter.stop();
  }
}

const open_step = (page, graft, { id }) => stage(page, graft, "prove", `?step=${encodeURIComponent(`test:${id}`)}&again=1`);

// A value that a step's band has, and that leads in the air do not show.
const sound = ({ band }) => (band.low ?? 0) + 0.4 * ((band.high ?? 2 * band.low) - (band.low ?? 0));
const has_value = ({ band }) => band.unit === "ohm" && band.high !== null && band.high < 1e6;

async function zero(page, meter) {
  meter.shows(0.3);
  await steady_is(page, /0\.3 Ω/);
  await button(panel(page), names.meter.zero).click();
  await panel(page)
    .getByText(/The leads have 0\.3 Ω/)
    .waitFor();
  meter.shows(null);
  await live_is(page, "over range");
}

at_both_sizes("a value that stands still is the reading, once for each touch", (world) =>
  with_meter(
    world,
    async ({ meter, page, graft, plan }) => {
      const at = plan.findIndex(
        (one, index) => has_value(one) && plan[index + 1] && has_value(plan[index + 1]) && plan[index + 1].condition === one.condition,
      );
      const [first, second] = [plan[at], plan[at + 1]];
      await open_step(page, graft, first);
      await live_is(page, "over range");
      // Leads that are not zeroed give no reading, and touching them to zero them answers no step.
      await zero(page, meter);
      equal((await readings_of(page, graft)).length, 0, "nothing is taken while the leads are zeroed");
      meter.shows(0.3 + sound(first));
      await step(page, second.id).waitFor();
      // The leads are still on: the second step must not get the same touch.
      await panel(page).locator('.meter-live[data-steady="true"]').waitFor();
      await panel(page)
        .getByText(/were not lifted/)
        .waitFor();
      equal((await readings_come(page, graft, 1)).length, 1, "one touch, one reading");
      await until_idle(page);
      await page.screenshot({ path: join(shots, `meter-${world.size}.png`), fullPage: true });
      equal((await violations(page)).join("\n"), "", "axe-core");
      meter.shows(null);
      await live_is(page, "over range");
      meter.shows(0.3 + sound(second));
      await step(page, second.id).waitFor({ state: "detached" });
      const readings = await readings_come(page, graft, 2);
      equal(readings.map((one) => one.test).join(), [first.id, second.id].join(), "the readings are of their steps");
      check(Math.abs(readings[0].value - sound(first)) < 1e-3, `without the leads: ${readings[0].value}`);
    },
    { size: world.size },
  ),
);

at_size("laptop", "leads in the air are taken only by a press of a page-turner, and only in band", (world) =>
  with_meter(world, async ({ page, graft, plan }) => {
    const open = plan.find((one) => one.band.unit === "ohm" && one.band.high === null);
    const closed = plan.find(has_value);
    await open_step(page, graft, closed);
    await steady_is(page, "over range");
    await page.keyboard.press("PageDown");
    check(await page.locator(".keypad").evaluate((keypad) => keypad === document.activeElement), "out of band: the focus is on the keypad");
    equal((await readings_of(page, graft)).length, 0, "and nothing is saved");
    await open_step(page, graft, open);
    await step(page, open.id).waitFor();
    await steady_is(page, "over range");
    await panel(page)
      .getByText(/Leads in the air/)
      .waitFor();
    equal((await readings_of(page, graft)).length, 0, "not by itself");
    await page.keyboard.press("PageDown");
    await step(page, open.id).waitFor({ state: "detached" });
    const [reading] = await readings_come(page, graft, 1);
    equal(reading.test, open.id, "in band as shown");
    equal(reading.value, 1e9, "over range");
    check(!reading.in_band_only, "a reading with its value");
  }),
);

at_size("laptop", "without its switch the meter only shows; what is wrong with it is said", (world) =>
  with_meter(world, async ({ meter, page, graft, plan }) => {
    const one = plan.find(has_value);
    await open_step(page, graft, one);
    await panel(page).getByLabel(names.meter.by_itself).uncheck();
    await zero(page, meter);
    meter.shows(0.3 + sound(one));
    await panel(page).locator('.meter-live[data-steady="true"]').waitFor();
    equal((await readings_of(page, graft)).length, 0, "nothing is taken");
    meter.answers_rubbish("?!\n");
    await page.locator('.meter-panel[data-state="not_understood"]', { hasText: "?!" }).waitFor();
    meter.answers_rubbish("");
    meter.drop();
    await panel(page).locator('.meter-live[data-steady="true"]').waitFor();
    await button(panel(page), names.meter.take).click();
    await step(page, one.id).waitFor({ state: "detached" });
    equal((await readings_come(page, graft, 1)).length, 1, "by a press");
  }),
);

at_size("laptop", "after a step with power on the meter goes to ohms only when a person says that the loom is dead", (world) =>
  with_meter(world, async ({ meter, page, graft, proof, plan }) => {
    const one = plan.find(has_value);
    const live_step = proof.tests.find((item) => item.band.unit === "V" && proof.conditions.find(({ id }) => id === item.condition).live);
    await page.evaluate(
      ([name, id]) =>
        fetch(`/api/grafts/${name}/readings`, {
          method: "POST",
          headers: { "Content-Type": "application/json" },
          body: JSON.stringify({ id: "r1", test: id, value: 12, unit: "V" }),
        }),
      [graft, live_step.id],
    );
    await open_step(page, graft, one);
    const dead_again = panel(page).getByRole("button", { name: names.meter.dead_again });
    await dead_again.waitFor();
    check(!meter.heard.some((command) => command.startsWith("CONF:RES")), "no ohms on a live circuit");
    await page.screenshot({ path: join(shots, "meter-power-laptop.png") });
    await dead_again.click();
    await live_is(page, "over range");
    check(
      meter.heard.some((command) => command.startsWith("CONF:RES")),
      "ohms when it is dead",
    );
  }),
);

at_size("laptop", "the page that asked last has the meter", (world) =>
  with_meter(world, async ({ page, graft, plan }) => {
    const one = plan.find(has_value);
    await open_step(page, graft, one);
    await live_is(page, "over range");
    const other = await open_page(world);
    await open_step(other, graft, one);
    await live_is(other, "over range");
    await button(panel(page), names.meter.here).click();
    await live_is(page, "over range");
    await button(panel(other), names.meter.here).waitFor();
  }),
);

// What was spoken, and the tones, instead of sound.
const listen = () => {
  window.heard = [];
  window.speechSynthesis.speak = ({ text }) => window.heard.push(text);
  const start = window.AudioScheduledSourceNode.prototype.start;
  window.OscillatorNode.prototype.start = function start_heard(when) {
    window.heard.push(`${this.frequency.value} Hz`);
    start.call(this, when);
  };
};

at_size("phone", "steps are spoken and readings sound only where the switch is on", async (world) => {
  const page = await open_page(world, { size: world.size });
  await page.addInitScript(listen);
  const graft = await make_graft(page, "spoken", { example: true });
  const proof = await proof_of(page, graft);
  const [first, second] = proof.plan.map((id) => proof.tests.find((one) => one.id === id));
  await open_step(page, graft, first);
  await step(page, first.id).waitFor();
  equal(await page.evaluate(() => window.heard.length), 0, "off by default");
  await button(page, names.settings).click();
  await page.getByLabel(names.meter.speak).check();
  await until_idle(page);
  equal((await violations(page)).join("\n"), "", "axe-core");
  await page.screenshot({ path: join(shots, "speech-phone.png") });
  await button(page, names.close).click();
  await button(page, names.save_in_band).click();
  await step(page, second.id).waitFor();
  const heard = await page.evaluate(() => window.heard);
  check(heard.includes("1320 Hz"), `a high tone: ${heard}`);
  check(heard.at(-1).startsWith("black on "), `the next step is spoken: ${heard}`);
});

test("model: a step as it is spoken", async () => {
  const { spoken_number, spoken_step } = await load("model/spoken_step.ts");
  const numbers = [
    [0.4, "nought point four"],
    [12.05, "twelve point one"],
    [120, "one hundred and twenty"],
    [33, "thirty-three"],
    [-2.5, "minus two point five"],
    [0, "nought"],
  ];
  for (const [value, text] of numbers) equal(spoken_number(value), text, String(value));
  const point = (at, cavity = "", text = at) => ({ at, cavity, side: cavity ? "mating" : "", text });
  const one = (black_at, red_at, low, high, unit) => spoken_step({ black_at, red_at, band: { low, high, unit } }, (id) => id);
  equal(
    one(point("body"), point("C2", "33"), 0, 0.4, "ohm"),
    "black on body, red on C two, three three, at most nought point four ohms",
    "ohms",
  );
  equal(one(point("body"), point("C1", "A4"), 1e9, null, "ohm"), "black on body, red on C one, A four, over range", "open");
  equal(
    one(point("battery -"), point("C1", "1"), 11.4, 14.6, "V"),
    "black on battery minus, red on C one, one, between eleven point four volts and fourteen point six volts",
    "volts",
  );
  equal(
    one(point("C1", "2"), point("C1", "1"), 2e7, 1e9, "ohm"),
    "black on C one, two, red on C one, one, at least twenty megohms",
    "megohms",
  );
  equal(
    one(point("", "", ""), point("", "", "around wire w1"), 0.5, 1, "A"),
    "clamp around wire w1, between five hundred milliamps and one amp",
    "a clamp",
  );
});

test("model: when a meter's value is a reading", async () => {
  const { in_band_value, is_set_for, steady_value, value_by_itself } = await load("model/meter_reading.ts");
  const meter = {
    attached: true,
    state: "ready",
    unit: "ohm",
    value: 0.2,
    over_range: false,
    steady: true,
    in_air: false,
    fresh: true,
    leads_ohm: 0.3,
    graft: "g",
    test: "t",
    page: "p",
  };
  const one = { id: "t", band: { low: 0, high: 0.4, unit: "ohm" } };
  check(is_set_for(meter, "g", one, "p"), "set for this step");
  for (const other of [{ page: "q" }, { test: "u" }, { graft: "h" }, { unit: "V" }, { attached: false }])
    check(!is_set_for({ ...meter, ...other }, "g", one, "p"), `not for this step: ${JSON.stringify(other)}`);
  equal(value_by_itself(meter), 0.2, "by itself");
  for (const other of [{ fresh: false }, { in_air: true }, { steady: false }, { leads_ohm: null }, { value: null }])
    equal(value_by_itself({ ...meter, ...other }), null, `not by itself: ${JSON.stringify(other)}`);
  equal(steady_value({ ...meter, fresh: false }), 0.2, "a person may take it");
  equal(steady_value({ ...meter, over_range: true, value: null, leads_ohm: null }), 1e9, "over range needs no zero");
  equal(in_band_value({ ...meter, value: 0.5 }, one), null, "out of band");
});
