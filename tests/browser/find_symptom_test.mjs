// Readings as a person writes them, a symptom as evidence, and practice that leaves nothing behind.

import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { load } from "./load.mjs";
import { check, equal, open_page, test } from "./runner.mjs";
import { root } from "./server.mjs";
import { make_graft, proof_of, stage } from "./steps.mjs";

function fields_of(line) {
  const fields = [""];
  let quoted = false;
  for (const c of line) {
    if (c === '"') quoted = !quoted;
    else if (c === "," && !quoted) fields.push("");
    else fields[fields.length - 1] += c;
  }
  return fields;
}

test("model: a reading is read as the program reads it", async () => {
  const { entered_reading } = await load("model/reading.ts");
  const table = await readFile(join(root, "tests/data/readings.csv"), "utf8");
  const rows = table.trimEnd().split("\n").slice(1);
  check(rows.length > 50, "the table has rows");
  for (const row of rows) {
    const [text, unit, value, error] = fields_of(row);
    const read = entered_reading(text, unit);
    if (error) equal(read.error, error, row);
    else check(Math.abs(read.value - Number(value)) <= 1e-12 * Math.abs(Number(value)), `${row}: ${JSON.stringify(read)}`);
  }
});

test("find: a symptom changes what is probable before anything is measured", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "symptom", { example: true });
  await stage(page, graft, "find");
  const shown = page.locator(".probabilities");
  await shown.waitFor();
  const before = await shown.textContent();
  await page.getByLabel("What was noticed").selectOption("Y20:never-works");
  await page.waitForFunction((was) => {
    const now = document.querySelector(".probabilities")?.textContent;
    return now && now !== was;
  }, before);
  check(page.url().includes("symptom"), "the symptom is in the address");
});

test("find: two readings that contradict each other are named, and the test is proposed again", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "differ", { example: true });
  const proof = await proof_of(page, graft);
  const one = proof.tests.find((item) => item.id === proof.plan[0]);
  for (const [id, value] of [
    ["a", 1e9],
    ["b", one.nominal ?? 0],
  ])
    await page.evaluate(
      ([name, reading]) =>
        fetch(`/api/grafts/${name}/readings`, {
          method: "POST",
          headers: { "Content-Type": "application/json" },
          body: JSON.stringify(reading),
        }),
      [graft, { id, test: one.id, value, unit: one.band.unit }],
    );
  await stage(page, graft, "find");
  await page.getByRole("region", { name: "Readings that differ" }).waitFor();
  await page.locator(".next-tests li", { hasText: "contradict each other" }).first().waitFor();
});
