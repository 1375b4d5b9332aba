// What could hurt is asked about, answered with a name, and confirmed before the battery is joined.

import { violations } from "./axe.mjs";
import { airbag_pickup } from "./jobs.mjs";
import { at_both_sizes, at_size, check, equal, open_page, shots, until_idle } from "./runner.mjs";
import { button, create_job, document_of, graft_of, make_graft, names, read_json, stage } from "./steps.mjs";

const words = {
  section: "Restraint and high-voltage circuits",
  none: "It is none: go on",
  how: "How it was found out",
  who: "Who found it out",
  ask_again: "Ask again",
};

async function rename_device(page, graft, index, name) {
  const status = await page.evaluate(
    async ([at, path, value]) => {
      const tag = (await fetch(at)).headers.get("ETag");
      const headers = { "If-Match": tag, "Content-Type": "application/json-patch+json" };
      return (await fetch(at, { method: "PATCH", headers, body: JSON.stringify([{ op: "add", path, value }]) })).status;
    },
    [`/api/grafts/${graft}`, `/devices/${index}/name`, name],
  );
  equal(status, 200, "the device has its new name");
}

at_both_sizes("a part named like an airbag is left alone until a person answers", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "safety", { example: true });
  const name = "driver airbag squib";
  const { devices } = await document_of(page, graft);
  const index = devices.findIndex((device) => device.kind === "lamp" || device.kind === "valve");
  await rename_device(page, graft, index, name);
  await stage(page, graft, "design");
  await page.locator(".safety-notice a").click();
  const section = page.getByRole("region", { name: words.section });
  await section.getByText(name).first().waitFor();
  equal((await violations(page)).join("\n"), "", "axe-core finds nothing");
  check(await button(section, words.none).isDisabled(), "nobody's word does not free it");
  await section.getByLabel(words.how).fill("lamp of the load bed, followed by hand");
  await section.getByLabel(words.who).fill("R. Ames");
  await button(section, words.none).click();
  await section.getByText("R. Ames").waitFor();
  await until_idle(page);
  const [answer] = (await document_of(page, graft)).safety_answers;
  check(answer.harmless && answer.by === "R. Ames" && answer.said === name && answer.time, "the answer is signed and dated");
  equal((await read_json(page, `/api/grafts/${graft}/reports/check`)).presumed.length, 0, "nothing is asked any more");
  await button(section, words.ask_again).click();
  await button(section, words.none).waitFor();
});

at_size("phone", "the vehicle's pin, the donor's and their wire are one question about safety", async (world) => {
  const page = await open_page(world, { size: world.size });
  await create_job(page, airbag_pickup);
  await button(page, names.make_plan).click();
  await until_idle(page);
  const graft = graft_of(page);
  const { presumed } = await read_json(page, `/api/grafts/${graft}/reports/check`);
  equal(presumed.length, 6, "two pins of each module and their two wires are presumed");
  await stage(page, graft, "gather");
  const section = page.getByRole("region", { name: words.section });
  const questions = section.getByRole("button", { name: words.none });
  await questions.nth(1).waitFor();
  equal(await questions.count(), 2, "two questions");
  await page.screenshot({ path: `${shots}/safety-questions-${world.size}.png`, fullPage: true });
  // Left alone, they are no circuits that lack an end, and nothing proposes to complete them.
  await stage(page, graft, "circuits");
  await page.getByLabel(names.vehicle_shape).selectOption("pickup");
  await page.getByRole("button", { name: names.take_all }).click();
  await page.getByText(names.all_ends).waitFor();
  equal(await page.locator("[data-next=found-ends]").count(), 0, "no wire is said to lack its end");
  await stage(page, graft, "gather");
  await section.getByLabel(words.how).first().fill("drawing of the maker");
  await section.getByLabel(words.who).first().fill("R. Ames");
  await questions.first().click();
  await questions.nth(1).waitFor({ state: "detached" });
  await until_idle(page);
  equal((await document_of(page, graft)).safety_answers.length, 3, "one answer for each of its parts");
  await button(section, words.ask_again).click();
  await questions.nth(1).waitFor();
  await until_idle(page);
  equal((await document_of(page, graft)).safety_answers, undefined, "asked again, all three");
});

at_both_sizes("no step with power is shown before each open hazard is confirmed", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "gate", { example: true });
  const proof = await read_json(page, `/api/grafts/${graft}/reports/prove`);
  const live = new Set(proof.conditions.filter((one) => one.live).map((one) => one.id));
  const test = proof.tests.find((one) => proof.plan.includes(one.id) && live.has(one.condition));
  check(proof.to_confirm.length > 0, "the demo leaves something to confirm");
  await stage(page, graft, "prove", `?step=${encodeURIComponent(`test:${test.id}`)}`);
  const screen = page.locator("[data-confirm]");
  await screen.waitFor();
  equal(await page.locator(".step-test").count(), 0, "the step itself is not shown");
  equal((await violations(page)).join("\n"), "", "axe-core finds nothing");
  for (const hazard of proof.to_confirm) {
    await screen.getByText(hazard.look).first().waitFor();
  }
  const boxes = screen.getByRole("checkbox");
  for (let at = 0; at < proof.to_confirm.length; at += 1) await boxes.nth(at).click();
  await page.locator(".step-test").waitFor();
});
