// Two jobs of one's own, from two pasted tables to a proven plan, without touching a file. Prints what it took.

import { violations } from "./axe.mjs";
import { body_controller, lorry } from "./jobs.mjs";
import { at_both_sizes, at_size, check, equal, open_page, shots, until_idle } from "./runner.mjs";
import { button, create_job, document_of, graft_of, names, read_json, stage } from "./steps.mjs";

async function count_presses(page) {
  await page.evaluate(() => {
    window.presses = 0;
    const count = (event) => {
      if (event.isTrusted) window.presses += 1;
    };
    document.addEventListener("click", count, true);
  });
  return () => page.evaluate(() => window.presses);
}

const report_of = (page, name) => read_json(page, `/api/grafts/${encodeURIComponent(graft_of(page))}/reports/${name}`);

async function whole_job(world, job) {
  const page = await open_page(world, { size: world.size });
  const began = performance.now();
  await page.goto("/");
  const presses = await count_presses(page);
  await create_job(page, job);
  const compared = await presses();
  await button(page, names.make_plan).click();
  await page.waitForFunction(() => document.querySelector(".rail") !== null);
  await until_idle(page);
  await stage(page, graft_of(page), "circuits");
  await page.getByLabel(names.vehicle_shape).selectOption(job.shape);
  const take_all = page.getByRole("button", { name: names.take_all });
  await take_all.click();
  await page.getByText(names.all_ends).waitFor();
  const total = await presses();
  const seconds = (performance.now() - began) / 1000;
  return { page, compared, total, seconds };
}

async function check_job(page) {
  const doc = await document_of(page, graft_of(page));
  const wires = [...(doc.wires ?? []), ...doc.plan.flatMap((step) => (step.added ? [step.added] : []))];
  for (const wire of wires) check(wire.from?.at && wire.to?.at, `${wire.id} has an open end`);
  const design = await report_of(page, "design");
  // A lamp's cold filament is more than the usual output carries for good: that has to be looked at.
  const fails = (check) => check.judged && !check.passes && check.check !== "driver_inrush";
  const failing = design.circuits.filter((circuit) => circuit.checks.some(fails)).map((circuit) => circuit.name);
  equal(failing.join(", "), "", "circuits that fail");
  const proof = await report_of(page, "prove");
  const share = 1 - proof.unexposed.length / proof.faults.length;
  check(share > 0.95, `${Math.round(share * 1000) / 10} % of ${proof.faults.length} mistakes are exposed`);
  return { share, steps: proof.plan.length, minutes: proof.plan_minutes };
}

for (const [name, job] of Object.entries({ "a body controller of 12 V": body_controller, "a lorry of 24 V": lorry })) {
  at_both_sizes(`a job of one's own: ${name}, from two pastes to a proven plan`, async (world) => {
    const { page, compared, total, seconds } = await whole_job(world, job);
    const cards = await page.locator(".circuit-card").count();
    check(cards > 0, "cards of circuits");
    const found = await violations(page);
    check(found.length === 0, found.join("\n"));
    await page.screenshot({ path: `${shots}/circuits-${job.shape}-${world.size}.png`, fullPage: true });
    const { share, steps, minutes } = await check_job(page);
    console.log(
      `  3 fields, ${compared} presses to the comparison, ${total} to a complete plan, ${seconds.toFixed(1)} s; ` +
        `${steps} steps in ${Math.round(minutes)} minutes expose ${(share * 100).toFixed(1)} % of the mistakes`,
    );
    check(compared <= 7, `${compared} presses to the comparison`);
  });
}

at_both_sizes("a circuit card: take, change a part, put a joint and a plug into a wire, undo", async (world) => {
  const page = await open_page(world, { size: world.size });
  await create_job(page, lorry);
  await button(page, names.make_plan).click();
  await until_idle(page);
  const graft = graft_of(page);
  await stage(page, graft, "circuits");
  const card = page.locator(".circuit-card", { hasText: "PTO valve" });
  await card.locator(".circuit-head").click();
  await card.locator(".offer-best").waitFor();
  await page.screenshot({ path: `${shots}/circuit-offer-${world.size}.png` });
  await button(card, names.take_it).first().click();
  await card.locator(".circuit-actions").waitFor();
  await until_idle(page);
  const before = await document_of(page, graft);
  await card.locator("button.part-wire").first().click();
  await button(card, names.put_plug).click();
  await page.waitForFunction((name) => document.querySelectorAll(name).length > 0, ".part-editor");
  await until_idle(page);
  const after = await document_of(page, graft);
  equal((after.connectors ?? []).length, (before.connectors ?? []).length + 2, "halves of the plug");
  await page.screenshot({ path: `${shots}/circuit-card-${world.size}.png` });
  await button(page, names.undo).click();
  await until_idle(page);
  const undone = await document_of(page, graft);
  equal((undone.connectors ?? []).length, (before.connectors ?? []).length, "undone");
  const found = await violations(page);
  check(found.length === 0, found.join("\n"));
});

// What was put into a wire goes with it: a plug in the middle of the loom must not stay behind on its own.
at_size("laptop", "a plug or relay in a wire that was there before: undone, reopened, nothing is left", async (world) => {
  const page = await open_page(world, { size: world.size });
  await page.goto("/");
  await create_job(page, lorry);
  await button(page, names.make_plan).click();
  await until_idle(page);
  const graft = graft_of(page);
  await stage(page, graft, "circuits");
  await page.getByLabel(names.vehicle_shape).selectOption(lorry.shape);
  await page.getByRole("button", { name: names.take_all }).click();
  await page.getByText(names.all_ends).waitFor();
  const card = page.locator(".circuit-card", { hasText: "gearbox neutral switch" });
  const lamp = page.locator(".circuit-card", { hasText: "PTO lamp" });
  const plugs = async () => ((await document_of(page, graft)).connectors ?? []).length;
  const relays = async () => (await document_of(page, graft)).devices.filter(({ kind }) => kind === "relay").length;
  const before = { plugs: await plugs(), relays: await relays() };
  await card.locator(".circuit-head").click();
  await card.locator("button.part-wire").first().click();
  await button(card, names.put_plug).click();
  await until_idle(page);
  equal(await plugs(), before.plugs + 2, "both halves of the plug");
  await button(page, names.undo).click();
  await until_idle(page);
  equal(await plugs(), before.plugs, "undone");
  await button(card, names.put_plug).click();
  await until_idle(page);
  equal(await plugs(), before.plugs + 2, "put in again");
  await button(card, names.something_else).click();
  await until_idle(page);
  equal(await plugs(), before.plugs, "opened again, no plug is left");
  await lamp.locator(".circuit-head").click();
  await lamp.locator("button.part-wire").first().click();
  await button(lamp, names.put_relay).click();
  await until_idle(page);
  equal(await relays(), before.relays + 1, "a relay in one tap");
  await page.screenshot({ path: `${shots}/circuit-relay-${world.size}.png` });
  await button(lamp, names.something_else).click();
  await until_idle(page);
  equal(await relays(), before.relays, "opened again, no relay is left");
  const check_report = await report_of(page, "check");
  equal(check_report.problems.filter(({ severity }) => severity === "error").length, 0, "the document is sound");
});
