// A small test runner whose closing lines are GoogleTest's, so that tools/run_tests adds them up with the others.

import { mkdirSync } from "node:fs";
import { cpus } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";
import { root, start_server } from "./server.mjs";

export const shots = join(process.env.LOOMGRAFT_BUILD ?? join(root, "build"), "screenshots");
mkdirSync(shots, { recursive: true });

export const sizes = {
  laptop: { viewport: { width: 1366, height: 768 } },
  phone: { viewport: { width: 390, height: 844 }, isMobile: true, hasTouch: true },
};

const tests = [];
export function test(name, body) {
  tests.push({ name, body, alone: false });
}

// What measures how long something takes: nothing else may run meanwhile.
export function timed_test(name, body) {
  tests.push({ name, body, alone: true });
}

// What a test does at one size is not about the layout: once is enough.
export function at_size(size, name, body) {
  test(`${name}, ${size}`, (world) => body({ ...world, size }));
}

export function at_both_sizes(name, body) {
  for (const size of Object.keys(sizes)) at_size(size, name, body);
}

export function check(passes, text) {
  if (!passes) throw new Error(text);
}

export function equal(got, wanted, text) {
  check(got === wanted, `${text}: got ${JSON.stringify(got)}, wanted ${JSON.stringify(wanted)}`);
}

const timeout_ms = 20000;

// The requests of a page that have no answer yet. The stream of events never ends and does not count.
const open_requests = new WeakMap();

function watch_requests(page) {
  const open = new Set();
  open_requests.set(page, open);
  let loads_anew = false;
  // What the page before had asked for may end without a word.
  page.on("framenavigated", (frame) => {
    if (loads_anew && frame === page.mainFrame()) open.clear();
    if (frame === page.mainFrame()) loads_anew = false;
  });
  page.on("request", (request) => {
    if (request.isNavigationRequest()) loads_anew = true;
    if (!request.url().includes("/api/events")) open.add(request);
  });
  for (const end of ["requestfinished", "requestfailed"]) page.on(end, (request) => open.delete(request));
}

// Whether the page kept its height while it rendered and did what else it had to do.
const was_still = (page) =>
  page.evaluate(async () => {
    const height = () => document.documentElement.scrollHeight;
    const before = height();
    // After a real key Chromium may give no idle time before the next frame: ask for that frame first.
    // A page that is not painted gets no frame: it is asked again after a while.
    await new Promise((done) => {
      setTimeout(done, 2000);
      requestAnimationFrame(() => requestIdleCallback(() => requestIdleCallback(done)));
    });
    return height() === before;
  });

// Waits until the page has rendered, has nothing else to do, every request of it is answered, and nothing moves any
// more: a press on a button that moves meanwhile hits nothing.
export async function until_idle(page) {
  const started = performance.now();
  while (!(await was_still(page)) || open_requests.get(page).size > 0) {
    if (performance.now() - started > timeout_ms)
      throw new Error(`the page never became idle; open: ${[...open_requests.get(page)].map((one) => one.url()).join(" ")}`);
  }
}

// A page that fails the test when its console shows an error or a script throws.
export async function open_page(world, { size = "laptop", context = {} } = {}) {
  // A worker would answer what a test wants to see requested, or to break off; tests that are about it let it in.
  const session = await world.browser.newContext({
    ...sizes[size],
    baseURL: world.server.address,
    serviceWorkers: "block",
    ...context,
  });
  session.setDefaultTimeout(timeout_ms);
  world.contexts.push(session);
  const page = await session.newPage();
  watch_requests(page);
  page.on("pageerror", (error) => world.errors.push(`script: ${error.message}`));
  page.on("console", (line) => {
    const expected =
      /status of (409|412)|ERR_FAILED|ERR_CONNECTION|ERR_SOCKET_NOT_CONNECTED|ERR_INTERNET|ERR_INCOMPLETE|ERR_EMPTY|ERR_CONTENT_LENGTH/.test(
        line.text(),
      );
    const icon = line.location().url.endsWith("/favicon.ico"); // asked for beside any file that is no page
    if (line.type() === "error" && !expected && !icon) world.errors.push(`console: ${line.text()} ${line.location().url}`);
  });
  return page;
}

// A test that never ends must not take the others with it.
const longest_ms = 240000;

async function within_time(work) {
  let timer;
  const late = new Promise((_, fail) => {
    timer = setTimeout(() => fail(new Error(`the test took longer than ${longest_ms / 1000} s`)), longest_ms);
  });
  try {
    return await Promise.race([work, late]);
  } finally {
    clearTimeout(timer);
  }
}

async function run_one({ name, body }, browser) {
  const world = { browser, contexts: [], errors: [], server: await start_server() };
  try {
    await within_time(body(world));
    check(world.errors.length === 0, world.errors.join("\n"));
    return null;
  } catch (error) {
    const page = world.contexts.at(-1)?.pages().at(-1);
    const file = join(shots, `failed-${name.replace(/\W+/g, "-")}.png`);
    await page?.screenshot({ path: file }).catch(() => undefined);
    return `${error.stack ?? error}\n${world.errors.join("\n")}`;
  } finally {
    for (const context of world.contexts) await context.close().catch(() => undefined);
    await world.server.stop();
  }
}

export const open_browser = () => chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox"] });

async function run_and_tell(one, browser, failed) {
  console.log(`[ RUN      ] ${one.name}`);
  const started = performance.now();
  const error = await run_one(one, browser);
  const time = `(${Math.round(performance.now() - started)} ms)`;
  if (error) failed.push(one.name);
  console.log(error ? `${error}\n[  FAILED  ] ${one.name} ${time}` : `[       OK ] ${one.name} ${time}`);
}

// Most tests wait for a page or for the program: two at a time keep two cores busy.
const at_a_time = Number(process.env.LOOMGRAFT_BROWSER_JOBS ?? Math.min(2, cpus().length));

async function run_side_by_side(waiting, browser, failed) {
  const work = async () => {
    for (let one = waiting.shift(); one; one = waiting.shift()) await run_and_tell(one, browser, failed);
  };
  await Promise.all(Array.from({ length: at_a_time }, work));
}

export async function run_all(filter) {
  const browser = await open_browser();
  const failed = [];
  const chosen = tests.filter(({ name }) => name.includes(filter));
  await run_side_by_side(
    chosen.filter(({ alone }) => !alone),
    browser,
    failed,
  );
  for (const one of chosen.filter(({ alone }) => alone)) await run_and_tell(one, browser, failed);
  await browser.close();
  console.log(`[  PASSED  ] ${chosen.length - failed.length} tests.`);
  if (failed.length > 0)
    console.log(`[  FAILED  ] ${failed.length} tests, listed below:\n${failed.map((name) => `[  FAILED  ] ${name}`).join("\n")}`);
  return failed.length === 0 && chosen.length > 0;
}
