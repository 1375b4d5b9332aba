// The outbox of readings: stored until acknowledged, sent again, never doubled.

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
const states = (page) =>
  page.evaluate(() =>
    globalThis.box
      .list()
      .map((stored) => `${stored.reading.id} ${stored.state}`)
      .sort()
      .join(", "),
  );
const on_disk = (page, graft) =>
  page.evaluate(
    async (name) => (await (await fetch(`/api/grafts/${name}/readings`)).json()).readings.map((reading) => reading.id).sort(),
    graft,
  );
const saved = (page, count) =>
  page.waitForFunction((n) => globalThis.box.list().filter((stored) => stored.state === "saved").length >= n, count);

test("readings entered without a connection survive a reload and are sent once", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "readings");
  await open_outbox(page);
  await page.route("**/readings", (route) => route.abort());
  await put(page, graft, "a", 1);
  await put(page, graft, "b", 2);
  await put(page, graft, "a", 1); // tapped twice
  equal(await states(page), "a pending, b pending", "both are pending");
  await page.reload();
  await open_outbox(page);
  equal(await states(page), "a pending, b pending", "both are still there after the page was closed");
  await page.unroute("**/readings");
  await page.evaluate(() => globalThis.box.flush());
  await saved(page, 2);
  equal((await on_disk(page, graft)).join(" "), "a b", "the program has each once");
  await page.reload();
  await open_outbox(page);
  equal(await states(page), "", "a saved reading is removed from the device");
});

test("a reading whose acknowledgement was lost is sent again and not doubled", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "lost");
  await open_outbox(page);
  let dropped = 0;
  await page.route("**/readings", async (route) => {
    if (route.request().method() === "POST" && dropped < 3) {
      dropped += 1;
      await route.fetch(); // the program stores it
      await route.abort(); // and its answer is lost
    } else await route.continue();
  });
  for (let count = 0; count < 5; count += 1) await put(page, graft, `r${count}`, count);
  for (let round = 0; round < 4; round += 1) await page.evaluate(() => globalThis.box.flush());
  await saved(page, 5);
  check(dropped === 3, "three answers were lost");
  equal((await on_disk(page, graft)).join(" "), "r0 r1 r2 r3 r4", "each is stored once");
});

test("a reading that the program refuses is kept for a person to see", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "refused");
  await open_outbox(page);
  await put(page, "no-such-graft", "x", 1);
  await put(page, graft, "y", 2);
  await saved(page, 1);
  equal(await states(page), "x refused, y saved", "the refused one does not hold up the others");
  world.errors.length = 0; // the browser logs the refusal as an error
});

// As the page stored a reading before it had send states by these names.
const put_old_record = (page, graft) =>
  page.evaluate(async (name) => {
    const database = await new Promise((done) => {
      const request = indexedDB.open("loomgraft-outbox", 1);
      request.onsuccess = () => done(request.result);
    });
    const records = database.transaction("readings", "readwrite").objectStore("readings");
    const reading = { id: "practice-in-band-old", test: "t1", value: 1, unit: "ohm" };
    await new Promise((done) => {
      records.add({ graft: name, reading, fate: "waiting", words: "" }).onsuccess = done;
    });
  }, graft);

test("a reading that an earlier version of the page stored is sent, and nothing of practice is kept", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "old");
  await open_outbox(page);
  await put_old_record(page, graft);
  await page.route("**/readings", (route) => route.abort());
  await open_outbox(page);
  equal(await states(page), "practice-in-band-old pending", "it is pending");
  const { practice, in_band_only } = await page.evaluate(() => globalThis.box.list()[0].reading);
  check(practice && in_band_only, "its marks are read from its id");
  await page.unroute("**/readings");
  await page.evaluate(() => globalThis.box.flush());
  await saved(page, 1);
  equal((await on_disk(page, graft)).join(" "), "", "the program has taken it and kept nothing");
});
