// A small test runner whose closing lines are GoogleTest's, so that tools/run_tests adds them up with the others.

import { mkdirSync } from "node:fs";
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
export const test = (name, body) => tests.push({ name, body });
export const at_both_sizes = (name, body) =>
  Object.keys(sizes).forEach((size) => test(`${name}, ${size}`, (world) => body({ ...world, size })));

export function check(holds, words) {
  if (!holds) throw new Error(words);
}

export function equal(got, wanted, words) {
  check(got === wanted, `${words}: got ${JSON.stringify(got)}, wanted ${JSON.stringify(wanted)}`);
}

const patience_ms = 20000;

// A page that fails the test when its console shows an error or a script throws.
export async function open_page(world, { size = "laptop", context = {}, returning = true } = {}) {
  const session = await world.browser.newContext({ ...sizes[size], baseURL: world.server.address, ...context });
  session.setDefaultTimeout(patience_ms);
  world.contexts.push(session);
  // A person who has been here before: the demo does not open by itself.
  if (returning) await session.addInitScript(() => localStorage.setItem("loomgraft.welcomed", "yes"));
  const page = await session.newPage();
  page.on("pageerror", (error) => world.errors.push(`script: ${error.message}`));
  page.on("console", (line) => {
    const expected = /status of (409|412)|ERR_FAILED|ERR_CONNECTION|ERR_INTERNET|ERR_INCOMPLETE|ERR_EMPTY/.test(line.text());
    if (line.type() === "error" && !expected) world.errors.push(`console: ${line.text()} ${line.location().url}`);
  });
  return page;
}

async function run_one({ name, body }, browser) {
  const world = { browser, contexts: [], errors: [], server: await start_server() };
  try {
    await body(world);
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

export async function run_all(filter) {
  const browser = await open_browser();
  const failed = [];
  const chosen = tests.filter(({ name }) => name.includes(filter));
  for (const one of chosen) {
    console.log(`[ RUN      ] ${one.name}`);
    const started = performance.now();
    const error = await run_one(one, browser);
    const time = `(${Math.round(performance.now() - started)} ms)`;
    if (error) failed.push(one.name);
    console.log(error ? `${error}\n[  FAILED  ] ${one.name} ${time}` : `[       OK ] ${one.name} ${time}`);
  }
  await browser.close();
  console.log(`[  PASSED  ] ${chosen.length - failed.length} tests.`);
  if (failed.length > 0)
    console.log(`[  FAILED  ] ${failed.length} tests, listed below:\n${failed.map((name) => `[  FAILED  ] ${name}`).join("\n")}`);
  return failed.length === 0 && chosen.length > 0;
}
