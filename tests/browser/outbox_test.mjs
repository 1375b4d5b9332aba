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
  page.evaluate(
    ([g, i, v]) => {
      const content = { kind: "reading", reading: { id: i, test: "t1", value: v, unit: "ohm" } };
      return globalThis.box.put({ id: i, graft: g, author: "tester", content });
    },
    [graft, id, value],
  );
const states = (page) =>
  page.evaluate(() =>
    globalThis.box
      .list()
      .map((stored) => `${stored.id} ${stored.state}`)
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
  for (let round = 0; round < 4; round += 1) await page.evaluate(() => globalThis.box.flush(true));
  await saved(page, 5);
  check(dropped === 3, "three answers were lost");
  equal((await on_disk(page, graft)).join(" "), "r0 r1 r2 r3 r4", "each is stored once");
});

const is_refused = (page, id) =>
  page.waitForFunction((wanted) => globalThis.box.list().some(({ id, state }) => id === wanted && state === "refused"), id);

test("a reading that the program refuses is kept for a person to see and holds up none behind it", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "refused");
  await open_outbox(page);
  await page.evaluate(() =>
    globalThis.box.put({ id: "x", graft: "refused", author: "", content: { kind: "reading", reading: { id: "x" } } }),
  );
  await put(page, graft, "y", 2);
  await is_refused(page, "x");
  await saved(page, 1);
  equal(await states(page), "x refused, y saved", "the refused one does not hold up the next");
  check(await page.evaluate(() => globalThis.box.list()[0].reason.includes("value")), "the reason is kept");
  world.errors.length = 0; // the browser logs the refusal as an error
});

test("entries of a job that is gone wait, and hold up no other job's; they can be sent to another job", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "here");
  await open_outbox(page);
  await put(page, "gone", "x", 1);
  await put(page, graft, "y", 2);
  await saved(page, 1);
  await page.waitForFunction(() => globalThis.box.list()[0].reason !== "");
  equal(await states(page), "x pending, y saved", "it waits: the file may come back");
  await page.evaluate(() => globalThis.box.move("gone", "here"));
  await saved(page, 2);
  equal((await on_disk(page, graft)).join(" "), "x y", "the other job has it");
  world.errors.length = 0; // the browser logs the refusal as an error
});

test("two pages of one device: what one has sent, the other does not send again", async (world) => {
  const one = await open_page(world);
  const graft = await make_graft(one, "twice");
  await open_outbox(one);
  await one.route("**/ticks/*", (route) => route.abort());
  const tick = (page, id, done) =>
    page.evaluate(
      ([g, i, d]) => globalThis.box.put({ id: i, graft: g, author: "", content: { kind: "tick", subject: "s", done: d } }),
      [graft, id, done],
    );
  await tick(one, "t1", true);
  const two = await one.context().newPage();
  await two.goto("/icon.svg");
  await open_outbox(two);
  await saved(two, 1);
  await tick(two, "t2", false);
  await saved(two, 2);
  await one.unroute("**/ticks/*");
  await one.evaluate(() => globalThis.box.flush(true));
  equal(await states(one), "", "the first page has nothing left to send");
  const { ticks } = await one.evaluate(async (name) => (await fetch(`/api/grafts/${name}/ticks`)).json(), graft);
  equal(ticks.map((one) => one.done).join(" "), "false", "the later tick counts");
});

// As the page stored a reading before it had send states by these names, in a database of that time.
const put_old_record = (page, graft) =>
  page.evaluate(async (name) => {
    const request = indexedDB.open("loomgraft-outbox", 1);
    request.onupgradeneeded = () => {
      const store = request.result.createObjectStore("readings", { autoIncrement: true });
      store.createIndex("id", "reading.id", { unique: true });
    };
    await new Promise((done) => {
      request.onsuccess = done;
    });
    const records = request.result.transaction("readings", "readwrite").objectStore("readings");
    const add = (id, more) =>
      new Promise((done) => {
        records.add({ graft: name, reading: { id, test: "t1", value: 1, unit: "ohm" }, ...more }).onsuccess = done;
      });
    await add("practice-in-band-old", { fate: "waiting", words: "" });
    await add("newer", { state: "pending", reason: "" });
    request.result.close();
  }, graft);

test("readings that an earlier version of the page stored are sent, and nothing of practice is kept", async (world) => {
  const page = await open_page(world);
  const graft = await make_graft(page, "old");
  await put_old_record(page, graft);
  await page.route("**/readings", (route) => route.abort());
  await open_outbox(page);
  equal(await states(page), "newer pending, practice-in-band-old pending", "they are pending");
  const { practice, in_band_only } = await page.evaluate(() => globalThis.box.list()[0].content.reading);
  check(practice && in_band_only, "its marks are read from its id");
  await page.unroute("**/readings");
  await page.evaluate(() => globalThis.box.flush());
  await saved(page, 2);
  equal((await on_disk(page, graft)).join(" "), "newer", "the program has taken both and kept nothing of practice");
  await page.reload();
  await open_outbox(page);
  equal(await states(page), "", "and nothing is taken over twice");
});
