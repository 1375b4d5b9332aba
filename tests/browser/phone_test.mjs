// What a phone enters is never lost, and what waits is seen: damaged jobs, photos without a link, refusals, a reload without
// a link, another address, leaving.

import { readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { build } from "esbuild";
import { violations } from "./axe.mjs";
import { at_both_sizes, at_size, check, equal, open_page, shots, test } from "./runner.mjs";
import { root, start_server } from "./server.mjs";
import { make_small_graft } from "./small_loom.mjs";
import { button, names, read_json, send, stage } from "./steps.mjs";

const waiting = names.waiting;
const picture = { name: "joint.png", mimeType: "image/png", buffer: Buffer.from("\x89PNG\r\n\x1a\n and no more", "latin1") };

// Puts an entry where the page keeps what waits, as if it had been entered and the page closed. The page has been open once.
const store_entry = (page, entry) =>
  page.evaluate(async (stored) => {
    const request = indexedDB.open("loomgraft-waiting");
    await new Promise((done) => {
      request.onsuccess = done;
    });
    const transaction = request.result.transaction("entries", "readwrite");
    transaction.objectStore("entries").add(stored);
    await new Promise((done) => {
      transaction.oncomplete = done;
    });
    request.result.close();
  }, entry);

const reading_entry = (graft, id, value = 1) => ({
  id,
  graft,
  author: "phone",
  at: "2026-05-12T08:30:00Z",
  label: "feed of the controller",
  state: "pending",
  reason: "",
  content: { kind: "reading", reading: { id, test: "dead-bare:ohm:found.C2.3:body", value, unit: "ohm" } },
});

const at_step = async (page, graft) => {
  await stage(page, graft, "prove");
  await page.locator(".step[data-key]").waitFor();
};

// Past the screens that say what to unplug, up to the first measurement.
export const to_first_test = async (page, graft) => {
  await at_step(page, graft);
  const prepared = page.locator(".step-condition .step-next");
  const measuring = page.locator(".step-test");
  await prepared.or(measuring).first().waitFor();
  if (await prepared.isVisible()) await prepared.click();
  await measuring.waitFor();
};

const enter_in_band = (page) => button(page, names.save_in_band).click();
const waits = (page, count) => page.locator(`.send-state[data-waits="${count}"]`).waitFor();
const readings_of = async (page, graft) => (await read_json(page, `/api/grafts/${graft}/readings`)).readings;

// In place: a test at one size has a copy of the world, and the runner stops the server of its own.
const restart = async ({ server }) => Object.assign(server, await start_server(server.folder, server.port));

const photograph = async (page, name, found) => {
  found.push(...(await violations(page)).map((one) => `${name}: ${one}`));
  await page.screenshot({ path: join(shots, `${name}.png`) });
};

at_both_sizes("phone: a damaged job holds up no other, and what waits for it is seen", async (world) => {
  const page = await open_page(world, { size: world.size });
  const [sound, damaged] = [await make_small_graft(page, "sound"), await make_small_graft(page, "damaged")];
  await page.goto("/");
  await page.locator(".job-card").first().waitFor();
  await store_entry(page, reading_entry(damaged, "r1"));
  await world.server.stop();
  for (const end of ["-wal", "-shm"]) rmSync(join(world.server.folder, `${damaged}.graft${end}`), { force: true });
  writeFileSync(join(world.server.folder, `${damaged}.graft`), Buffer.alloc(8192, 7));
  await restart(world);
  await to_first_test(page, sound);
  await enter_in_band(page);
  await waits(page, 0);
  equal((await readings_of(page, sound)).length, 1, "the sound job has its reading");
  await button(page, names.settings).click();
  await button(page, waiting.open).click();
  const row = page.locator(`[data-graft="${damaged}"]`);
  await row.getByText("1 reading").waitFor();
  await row.getByText(/Not taken now/).waitFor();
  const found = [];
  await photograph(page, `waiting-${world.size}`, found);
  equal(found.join("\n"), "", "axe-core");
  world.errors.length = 0; // the browser logs the refusals as errors
});

test("phone: a photo and a tick made without a link arrive once, although an answer is lost", async (world) => {
  const page = await open_page(world, { size: "phone" });
  const graft = await make_small_graft(page, "photo");
  await at_step(page, graft);
  await world.server.stop();
  await page.locator(".lost-link").waitFor();
  await page.locator(".step-condition .step-next").click(); // ticks the condition
  await page.locator(".photos input[type=file]").setInputFiles(picture);
  await waits(page, 2);
  await page.locator(".lost-link", { hasText: "1 tick and 1 photo" }).waitFor();
  await page.screenshot({ path: join(shots, "lost-link-phone.png") });
  let lost = 0;
  await page.route("**/photos?*", async (route) => {
    if (route.request().method() !== "POST" || lost > 0) return route.continue();
    lost += 1;
    await route.fetch(); // the program has it
    return route.abort(); // and its answer is lost
  });
  await restart(world);
  await waits(page, 0);
  equal(lost, 1, "one answer was lost");
  const { photos } = await read_json(page, `/api/grafts/${graft}/photos`);
  equal(photos.map((photo) => photo.name).join(), "joint.png", "it is there once");
  const { ticks } = await read_json(page, `/api/grafts/${graft}/ticks`);
  equal(ticks.length, 1, "and so is the tick");
  await page.locator(".photos").getByRole("link", { name: names.photo }).waitFor();
});

test("phone: what the program will not take is kept with the reason, and saved to a file", async (world) => {
  const page = await open_page(world);
  const graft = await make_small_graft(page, "refusing");
  await send(page, "POST", `/api/grafts/${graft}/readings`, { id: "r1", test: "t", value: 1, unit: "ohm" });
  await page.goto("/");
  await page.locator(".job-card").first().waitFor();
  await store_entry(page, reading_entry(graft, "r1", 2)); // the same id, another value: it can never be taken
  await store_entry(page, reading_entry(graft, "r2", 3));
  await page.reload();
  await page.locator(".lost-link", { hasText: "1 entry was not taken" }).waitFor();
  await page.waitForFunction(async (name) => (await (await fetch(`/api/grafts/${name}/readings`)).json()).readings.length === 2, graft);
  await button(page, waiting.from_lost_link).click();
  const refused = page.locator('[data-refused="r1"]');
  await refused.getByText(/already has something else/).waitFor();
  await page.screenshot({ path: join(shots, "refused-laptop.png") });
  const [file] = await Promise.all([page.waitForEvent("download"), button(page, waiting.save).click()]);
  const saved = JSON.parse(readFileSync(await file.path(), "utf8"));
  equal(saved.entries.length, 1, "one entry is in the file");
  equal(saved.entries[0].reading.value, 2, "with its value");
  check(saved.entries[0].refused !== "" && saved.entries[0].what.startsWith("Reading: 2"), "with the reason, in words");
  await refused.getByRole("button", { name: waiting.discard }).click();
  await button(page, waiting.discard_it).click();
  await refused.waitFor({ state: "detached" });
  await page.reload();
  await page.locator(".job-card").first().waitFor();
  equal(await page.locator(".lost-link").count(), 0, "discarded for good");
});

const kept_paths = (page) =>
  page.evaluate(async () => {
    const paths = [];
    for (const name of await caches.keys()) {
      for (const request of await (await caches.open(name)).keys()) paths.push(new URL(request.url).pathname);
    }
    return paths;
  });

export const until_kept = async (page, wanted) => {
  for (let tries = 0; tries < 400; tries += 1) {
    const kept = await kept_paths(page);
    if (wanted.every((path) => kept.some((one) => one.endsWith(path)))) return;
    await page.waitForFunction(() => new Promise((done) => requestAnimationFrame(() => done(true))));
  }
  throw new Error(`never kept: ${wanted.join(" ")}; kept are ${(await kept_paths(page)).join(" ")}`);
};

at_both_sizes("phone: a reload without a link shows the plan and takes a reading that arrives later", async (world) => {
  const page = await open_page(world, { size: world.size, context: { serviceWorkers: "allow" } });
  const graft = await make_small_graft(page, "yard");
  await to_first_test(page, graft);
  await until_kept(page, ["/", "/app.js", "/app.css", `/grafts/${graft}`, "/reports/prove", "/ticks", "/drawings/face/found.C2"]);
  await world.server.stop();
  await page.reload();
  await page.locator(".step-test .drawing-box svg").first().waitFor();
  await page.locator(".lost-link", { hasText: "as of" }).waitFor();
  await enter_in_band(page);
  await waits(page, 1);
  await page.screenshot({ path: join(shots, `offline-reload-${world.size}.png`) });
  await page.reload();
  await waits(page, 1);
  await restart(world);
  await waits(page, 0);
  equal((await readings_of(page, graft)).length, 1, "it has arrived, once");
  await page.locator(".lost-link").waitFor({ state: "detached" });
  // With the link there, what the program says counts.
  const patch = [{ op: "replace", path: "/title", value: "Another title" }];
  const { status } = await page.evaluate(
    async ([name, body]) => {
      const { headers } = await fetch(`/api/grafts/${name}`);
      const more = { "Content-Type": "application/json-patch+json", "If-Match": headers.get("ETag") };
      const answer = await fetch(`/api/grafts/${name}`, { method: "PATCH", headers: more, body: JSON.stringify(body) });
      return { status: answer.status };
    },
    [graft, patch],
  );
  equal(status, 200, "the title is changed");
  await page.reload();
  await page.locator(".job-title", { hasText: "Another title" }).waitFor();
});

test("phone: a refusal is never kept, and a device that is let in no longer keeps nothing", async (world) => {
  const page = await open_page(world, { context: { serviceWorkers: "allow" } });
  const graft = await make_small_graft(page, "secret");
  await at_step(page, graft);
  await until_kept(page, [`/grafts/${graft}`, "/reports/prove"]);
  await page.reload(); // now through the worker
  await page.locator(".step[data-key]").waitFor();
  await page.evaluate(() => fetch("/api/grafts/nobody"));
  check(!(await kept_paths(page)).some((path) => path.endsWith("nobody")), "404 is not kept");
  // Another program answers at the address, and lets nobody in.
  await world.server.stop();
  const { createServer } = await import("node:http");
  const strict = createServer((_, answer) => answer.writeHead(401, { "Content-Type": "application/json" }).end("{}"));
  await new Promise((done) => strict.listen(world.server.port, "127.0.0.1", done));
  equal(
    await page.evaluate((name) => fetch(`/api/grafts/${name}`).then((answer) => answer.status), graft),
    401,
    "the refusal is passed on",
  );
  await page.waitForFunction(async () => !(await caches.keys()).some((name) => name.startsWith("loomgraft-data")));
  await new Promise((done) => {
    strict.close(done);
    strict.closeAllConnections();
  });
  await restart(world);
  world.errors.length = 0; // the browser logs the refusals as errors
});

test("phone: what waits under one address is carried to another in a file, and nothing is doubled", async (world) => {
  const page = await open_page(world, { size: "phone" });
  const graft = await make_small_graft(page, "moved");
  await page.route(/\/(readings|photos|ticks)(\/|\?|$)/, (route) =>
    route.request().method() === "GET" ? route.continue() : route.abort(),
  );
  await to_first_test(page, graft);
  await page.locator(".photos input[type=file]").setInputFiles(picture);
  await page.locator("[data-waits] >> text=waits on this device").first().waitFor();
  await enter_in_band(page);
  await waits(page, 3); // a tick, a photo, a reading
  await button(page, names.settings).click();
  await button(page, waiting.open).click();
  const [file] = await Promise.all([page.waitForEvent("download"), button(page, waiting.save).click()]);
  const path = await file.path();
  const other = await open_page(world, { size: "phone", context: { baseURL: world.server.address.replace("127.0.0.1", "localhost") } });
  for (let round = 0; round < 2; round += 1) {
    await other.goto("/");
    await other.locator(".job-card").first().waitFor();
    await button(other, names.settings).click();
    await button(other, waiting.open).click();
    await other.getByLabel(waiting.file).setInputFiles(path);
    await other.getByText("1 reading, 1 tick and 1 photo").waitFor();
    if (round === 0) await other.screenshot({ path: join(shots, "take-in.png") });
    await button(other, waiting.take_in).click();
    await other.waitForFunction(async (name) => (await (await fetch(`/api/grafts/${name}/photos`)).json()).photos.length === 1, graft);
    await other.waitForFunction(async (name) => (await (await fetch(`/api/grafts/${name}/readings`)).json()).readings.length === 1, graft);
  }
  equal((await readings_of(other, graft)).length, 1, "one reading");
  equal((await read_json(other, `/api/grafts/${graft}/photos`)).photos.length, 1, "one photo");
  const [photo] = (await read_json(other, `/api/grafts/${graft}/photos`)).photos;
  equal(photo.bytes, picture.buffer.length, "the whole picture");
});

test("phone: the text of what waits can be brought in, into a job of another name", async (world) => {
  const page = await open_page(world);
  const graft = await make_small_graft(page, "renamed");
  await page.goto("/");
  await page.locator(".job-card").first().waitFor();
  await store_entry(page, reading_entry("old-name", "r1", 4.7));
  await button(page, names.settings).click();
  await button(page, waiting.open).click();
  await page.getByText(/There is no job of this name|Not taken now/).waitFor();
  await page.getByText("Without a file: as text").click();
  await button(page, waiting.as_text).click();
  const text = await page.locator("textarea[readonly]").inputValue();
  check(JSON.parse(text).entries[0].what.includes("4.7 Ω"), "a person can read it");
  await page.getByLabel(waiting.other_job).selectOption(graft);
  await button(page, waiting.send_to_job).click();
  await page.getByText(/Nothing waits/).waitFor();
  equal((await readings_of(page, graft)).length, 1, "the job of the new name has it");
  await page.getByLabel(waiting.paste).fill(text);
  await button(page, waiting.bring_text).click();
  await page.getByLabel("For the job “old-name”").selectOption(graft);
  await button(page, waiting.take_in).click();
  await page.getByText(/Nothing waits/).waitFor();
  equal((await readings_of(page, graft)).length, 1, "and not twice");
  world.errors.length = 0; // the browser logs the refusals as errors
});

test("phone: the browser asks before the page is closed only while the link is down", async (world) => {
  const page = await open_page(world);
  const graft = await make_small_graft(page, "closing");
  const asked = [];
  page.on("dialog", async (dialog) => {
    asked.push(dialog.type());
    await dialog.dismiss();
  });
  await at_step(page, graft);
  await page.locator(".step").click(); // browsers ask only where a person has pressed something
  await page.locator(".connection-connected").waitFor();
  await page.reload();
  equal(asked.length, 0, "nothing is asked while the link is there");
  await page.locator(".step").click();
  await world.server.stop();
  await page.locator(".lost-link").waitFor();
  await page.close({ runBeforeUnload: true });
  await page.waitForFunction(() => true);
  equal(asked.join(), "beforeunload", "it is asked without a link");
  await restart(world);
});

const heic = Buffer.concat([Buffer.from([0, 0, 0, 24]), Buffer.from("ftypheic\0\0\0\0mif1heic and no more", "latin1")]);

at_size("phone", "phone: a HEIC photo is not sent, and the page says what to do", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_small_graft(page, "heic");
  await to_first_test(page, graft);
  await page.locator(".photos input[type=file]").setInputFiles({ name: "IMG_1.jpg", mimeType: "image/jpeg", buffer: heic });
  await page.locator(".message-error", { hasText: "HEIC" }).waitFor();
  await page.screenshot({ path: join(shots, "heic-phone.png") });
  equal(await page.locator(".photos [data-waits]").count(), 0, "nothing waits");
});

const paired = [
  {
    id: "d1",
    name: "Phone in the yard",
    since: "2026-04-02T07:00:00Z",
    seen: "2026-05-12T08:30:00Z",
    ends: "2026-06-30T00:00:00Z",
    this: false,
  },
  { id: "d2", name: "Tablet", since: "2026-05-02T07:00:00Z", seen: "2026-05-12T09:30:00Z", ends: "2026-07-30T00:00:00Z", this: true },
];

at_both_sizes("phone: devices are listed and removed; leaving asks first and tells what waits", async (world) => {
  const page = await open_page(world, { size: world.size });
  const graft = await make_small_graft(page, "devices");
  const calls = [];
  let list = paired;
  await page.route("**/api/devices", (route) => route.fulfill({ json: { devices: list } }));
  await page.route("**/api/devices/*", (route) => {
    calls.push(`${route.request().method()} ${new URL(route.request().url()).pathname}`);
    list = list.filter(({ id }) => id !== "d1");
    return route.fulfill({ status: 204 });
  });
  await page.route("**/api/leave", (route) => {
    calls.push(`${route.request().method()} leave`);
    return route.fulfill({ status: 204 });
  });
  await page.route("**/readings", (route) => (route.request().method() === "GET" ? route.continue() : route.abort()));
  await to_first_test(page, graft);
  await enter_in_band(page);
  await waits(page, 1);
  await button(page, names.settings).click();
  const devices = page.getByRole("region", { name: "Devices" });
  await devices.scrollIntoViewIfNeeded();
  const found = [];
  await photograph(page, `devices-${world.size}`, found);
  await button(devices, names.remove_device).click();
  await button(page, "Remove it").click();
  await devices.getByText("Phone in the yard").waitFor({ state: "detached" });
  await button(devices, names.log_out).click();
  await page.getByText(/1 reading still waits on it/).waitFor();
  await photograph(page, `log-out-${world.size}`, found);
  await button(page, waiting.leave).click();
  equal(calls.join(), "DELETE /api/devices/d1", "nobody has left yet");
  await button(devices, names.log_out).click();
  const reloaded = page.waitForEvent("load");
  await button(page, names.log_out_now).click();
  await reloaded;
  equal(calls.join(), "DELETE /api/devices/d1,POST leave", "the device has left");
  equal(found.join("\n"), "", "axe-core");
});

test("phone: replacing a job's document asks first where something waits for it", async (world) => {
  const page = await open_page(world);
  const graft = await make_small_graft(page, "replaced");
  await page.route("**/readings", (route) => (route.request().method() === "GET" ? route.continue() : route.abort()));
  await to_first_test(page, graft);
  await enter_in_band(page);
  await waits(page, 1);
  const before = (await read_json(page, `/api/grafts/${graft}`)).title;
  const bring = async () => {
    await page.locator(".job-title").click();
    const buffer = Buffer.from(JSON.stringify({ format: "loomgraft", version: 1, title: "Brought" }));
    await page.getByLabel(names.job.bring).setInputFiles({ name: "b.json", mimeType: "application/json", buffer });
    await page.getByText(/1 reading for this job still waits/).waitFor();
  };
  await bring();
  await button(page, waiting.leave).click();
  equal((await read_json(page, `/api/grafts/${graft}`)).title, before, "nothing is replaced");
  await bring();
  await button(page, waiting.bring_document).click();
  await page.locator(".job-title", { hasText: "Brought" }).waitFor();
});

at_both_sizes("phone: a link that is not encrypted is told once", async (world) => {
  const page = await open_page(world, { size: world.size });
  await page.addInitScript(() => Object.defineProperty(window, "isSecureContext", { value: false }));
  await page.goto("/");
  const notice = page.getByRole("region", { name: "This link is not encrypted" });
  await notice.waitFor();
  const found = [];
  await photograph(page, `not-encrypted-${world.size}`, found);
  await button(notice, names.understood).click();
  await notice.waitFor({ state: "detached" });
  await page.reload();
  await page.locator("main h1").waitFor();
  equal(await notice.count(), 0, "not again");
  equal(found.join("\n"), "", "axe-core");
});

test("phone: the screen stays on while someone measures, and only then", async (world) => {
  const page = await open_page(world, { size: "phone" });
  await page.addInitScript(() => {
    globalThis.locks = [];
    const request = () => {
      const lock = { released: false, release: async () => (lock.released = true) };
      globalThis.locks.push(lock);
      return Promise.resolve(lock);
    };
    Object.defineProperty(navigator, "wakeLock", { value: { request } });
  });
  const graft = await make_small_graft(page, "awake");
  await at_step(page, graft);
  await page.waitForFunction(() => globalThis.locks.length === 1 && !globalThis.locks[0].released);
  await page.evaluate(() => {
    globalThis.locks[0].released = true; // as the browser does when the page is out of sight
    document.dispatchEvent(new Event("visibilitychange"));
  });
  await page.waitForFunction(() => globalThis.locks.length === 2);
  await page.evaluate((hash) => (location.hash = hash), `#/g/${graft}/gather`);
  await page.waitForFunction(() => globalThis.locks.every((lock) => lock.released));
});

async function model(name) {
  const made = await build({ entryPoints: [join(root, `web/src/model/${name}.ts`)], bundle: true, write: false, format: "esm" });
  return import(`data:text/javascript;base64,${Buffer.from(made.outputFiles[0].text).toString("base64")}`);
}

test("phone model: pictures are known by their first bytes", async () => {
  const { picture_kind, picture_problem } = await model("picture_kind");
  const kind = (text) => picture_kind(Buffer.from(text, "latin1"));
  equal(kind("\xff\xd8\xff\xe0"), "image/jpeg", "JPEG");
  equal(kind("RIFF\x04\0\0\0WEBPVP8 "), "image/webp", "WebP");
  equal(picture_kind(heic), "heif", "HEIC");
  equal(kind("\0\0\0\x18ftypmsf1\0\0\0\0hevcmsf1"), "heif", "a sequence of pictures");
  equal(kind("\0\0\0\x1cftypmif1\0\0\0\0avifmif1miaf"), "avif", "a general brand, AVIF by those beside it");
  equal(kind("\0\0\0\x18ftypisom\0\0\0\0mp41"), "other", "a film");
  equal(kind(""), "other", "an empty file");
  equal(picture_problem("a.png", Buffer.from("\x89PNG\r\n\x1a\n", "latin1")), null, "a PNG is taken");
  check(
    picture_problem("a.jpg", Buffer.concat([Buffer.from("\xff\xd8\xff", "latin1"), Buffer.alloc(16 << 20)])).includes("17 MiB"),
    "too large",
  );
});

test("phone model: a file of what waited is read back as it was written, and nonsense is left out", async () => {
  const { base64_of, bytes_of, file_entry, read_waiting_file, waiting_file } = await model("waiting_file");
  const bytes = Uint8Array.from({ length: 70000 }, (_, index) => (index * 7) % 256);
  equal(Buffer.compare(Buffer.from(bytes_of(base64_of(bytes))), Buffer.from(bytes)), 0, "bytes come back");
  equal(bytes_of("%"), null, "what is no base64");
  const stored = reading_entry("van", "r1", 4.7);
  const whole = JSON.stringify(waiting_file([file_entry(stored, null)], [], "http://old"));
  const read = read_waiting_file(whole, "f.json");
  equal(read.entries[0].stored.content.reading.value, 4.7, "the reading");
  equal(read.entries[0].stored.at, stored.at, "its time");
  const bad = [
    {},
    null,
    { ...JSON.parse(whole).entries[0], reading: { test: "t", value: "4", unit: "ohm" } },
    { id: "x", graft: "g", kind: "tick", tick: {} },
  ];
  const some = read_waiting_file(
    JSON.stringify({ ...JSON.parse(whole), entries: bad, edits: [{ graft: "g", text: "t", patch: [1] }] }),
    "f.json",
  );
  equal(`${some.entries.length} ${some.edits.length} ${some.unusable}`, "0 0 5", "entries that say too little");
  check(typeof read_waiting_file("[]", "f.json") === "string" && typeof read_waiting_file("x", "f.json") === "string", "no such file");
});
