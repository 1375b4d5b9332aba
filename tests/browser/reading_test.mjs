// What was read of a table: lines that were lost are answered, colours and types are corrected once for the whole file.
import { violations } from "./axe.mjs";
import { at_both_sizes, check, equal, open_page, shots, until_idle } from "./runner.mjs";
import { add_table, button, document_of, make_graft, names, preview_table, stage } from "./steps.mjs";

const table = [
  "## Plug X1",
  "| Pin | Wire | Type | Signal |",
  "|---|---|---|---|",
  "| A | LG/R | ls | Horn relay |",
  "| B | LG | zz | Left something |",
  "| C | B | gnd | Earth |",
  "",
  "Remark: taken from the old book",
  "",
  "D - Fog lamp relay",
].join("\n");

const tick = /^I have looked/;
const meanings = /^What the colours/;

at_both_sizes("a line that was lost is answered first; colours and types are corrected for the whole file", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_graft(page, "reading");
  await stage(page, graft, "gather");
  await preview_table(page, table);
  const add = button(page, names.add_this_table);
  await add.waitFor();
  check(await add.isDisabled(), "a table with a lost line was offered without a look");
  await page.getByText(meanings).click();
  await page.getByLabel('colour "LG"').selectOption("TQ");
  await until_idle(page);
  await page.getByText(meanings).waitFor();
  await page.getByLabel('type "zz"').selectOption("knock");
  await until_idle(page);
  await page.getByText("knock sensor input").last().waitFor();
  await page.screenshot({ path: `${shots}/reading-${world.size}.png`, fullPage: true });
  equal((await violations(page)).join("\n"), "", "axe-core");
  await page.getByLabel(tick).check();
  await add_table(page);
  const { modules } = await document_of(page, graft);
  const pins = modules[0].pins;
  equal(pins.map((pin) => pin.cavity).join(), "A,B,C", "cavities");
  equal(pins[1].colour.base, "TQ", "the corrected colour");
  equal(pins[1].class, "knock", "the corrected type");
});
