// The outbox of readings: kept until acknowledged, sent again, never doubled.

import { join } from "node:path";
import { build } from "esbuild";
import { check, equal, open_page, test } from "./runner.mjs";
import { root } from "./server.mjs";
import { make_graft } from "./steps.mjs";

async function bundle() {
  const entry = join(root, "web/src/outbox_page.ts");
  const made = await build({
    entryPoints: [entry],
    bundle: true,
    write: false,
    format: "iife",
    globalName: "outbox_page",
    footer: { js: "globalThis.outbox_page = outbox_page;" },
    target: "es2022",
  });
  return made.outputFiles[0].text;
}

async function open_outbox(page) {
  await page.evaluate(await bundle());
  await page.evaluate(async () => {
    globalThis.box = await globalThis.outbox_page.start_outbox();
  });
}

const put = (page, graft, id, value) =>
  page.evaluate(([g, i, v]) => globalThis.box.put(g, { id: i, test: "t1", value: v, unit: "ohm" }), [graft, id, value]);
const fates = (page) =>
  page.evaluate(() =>
    globalThis.box
      .list()
      .map((kept) => `${kept.reading.id} ${kept.fate}`)
      .sort()
      .join(", "),
  );
const on_disk = (page, graft) =>
  page.evaluate(
    async (name) => (await (await fetch(`/api/grafts/${name}/readings`)).json()).readings.map((reading) => reading.id).sort(),
    graft,
  );
const safe = (page, count) => page.waitForFunction((n) => globalThis.box.list().filter((kept) => kept.fate === "safe").length >= n, count);

test("readings wait without a link, outlive the page, and are sent once when it is back", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "readings");
  await open_outbox(page);
  await page.route("**/readings", (route) => route.abort());
  await put(page, graft, "a", 1);
  await put(page, graft, "b", 2);
  await put(page, graft, "a", 1); // tapped twice
  equal(await fates(page), "a waiting, b waiting", "both wait");
  await page.reload();
  await open_outbox(page);
  equal(await fates(page), "a waiting, b waiting", "both are still there after the page was closed");
  await page.unroute("**/readings");
  await page.evaluate(() => globalThis.box.flush());
  await safe(page, 2);
  equal((await on_disk(page, graft)).join(" "), "a b", "the program has each once");
  await page.reload();
  await open_outbox(page);
  equal(await fates(page), "", "what is safe is kept no longer");
});

test("a reading whose acknowledgement was lost is sent again and not doubled", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "lost");
  await open_outbox(page);
  let dropped = 0;
  await page.route("**/readings", async (route) => {
    if (route.request().method() === "POST" && dropped < 3) {
      dropped += 1;
      await route.fetch(); // the program writes it down
      await route.abort(); // and its answer is lost
    } else await route.continue();
  });
  for (let count = 0; count < 5; count += 1) await put(page, graft, `r${count}`, count);
  for (let round = 0; round < 4; round += 1) await page.evaluate(() => globalThis.box.flush());
  await safe(page, 5);
  check(dropped === 3, "three answers were lost");
  equal((await on_disk(page, graft)).join(" "), "r0 r1 r2 r3 r4", "each stands once");
});

test("a reading that the program refuses is kept for a person to see", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "refused");
  await open_outbox(page);
  await put(page, "no-such-graft", "x", 1);
  await put(page, graft, "y", 2);
  await safe(page, 1);
  equal(await fates(page), "x refused, y safe", "the refused one does not hold up the others");
  world.errors.length = 0; // the browser logs the refusal as an error
});
