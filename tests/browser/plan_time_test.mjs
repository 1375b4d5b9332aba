// What the plan buys: the curve, the time at hand, which steps fit, and what is left at worst.

import { violations } from "./axe.mjs";
import { at_both_sizes, check, equal, open_page, shots, until_idle } from "./runner.mjs";
import { make_graft, proof_of, stage } from "./steps.mjs";

const section = (page) => page.getByRole("region", { name: "What the plan buys" });

async function open_plan(page, graft) {
  await stage(page, graft, "prove");
  await page.locator(".step[data-key]").waitFor();
  await until_idle(page); // whether the plan is folded is known once the page has its width
  const whole_plan = page.locator(".whole-plan > summary");
  if (await whole_plan.isVisible()) await whole_plan.click();
  await section(page).waitFor();
}

at_both_sizes("the time at hand says which steps fit and what is left", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "time", { example: true });
  const proof = await proof_of(page, graft);
  await open_plan(page, graft);
  const slider = section(page).getByRole("slider");
  check((await section(page).getByRole("img").getAttribute("aria-label")).includes("unseen"), "the curve is described");
  equal(Number(await section(page).locator("[data-fits]").getAttribute("data-fits")), proof.plan.length, "steps that fit at first");
  equal(await page.locator(".plan-beyond").count(), 0, "rows beyond the whole plan");
  const minutes = Math.ceil(proof.curve[10].minutes);
  const fits = proof.curve.filter((point) => point.minutes <= minutes).length - 1;
  await slider.fill(String(minutes));
  await section(page).locator(`[data-fits="${fits}"]`).waitFor();
  check((await slider.getAttribute("aria-valuetext")).startsWith(`${minutes} minutes`), "the slider says its value in words");
  equal(await page.locator(".plan-beyond").count(), 1, "rows beyond the time at hand");
  check((await section(page).innerText()).includes(proof.curve[fits].worst_text), "the worst that is left is named");
  const found = await violations(page);
  check(found.length === 0, found.join("\n"));
  await section(page).screenshot({ path: `${shots}/plan-time-${world.size}.png` });
});
