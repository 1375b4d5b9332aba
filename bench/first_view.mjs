// How long the page takes to show the demo's comparison, beside the plug's face, in a browser that has never been here: after
// the demo was asked for on the start page ("made"), and after its address was entered ("opened").
// Median of several runs, in ms.
// Usage: node bench/first_view.mjs [runs]
import { open_browser } from "../tests/browser/runner.mjs";
import { start_server } from "../tests/browser/server.mjs";
import { names } from "../tests/browser/steps.mjs";

const runs = Number(process.argv[2] ?? 15);
const patience_ms = 20000;
const windows = { "new window": 0, "window at rest": 1500 }; // ms between window and address

// In the page: when the two were first there and painted.
function watch() {
  const wanted = { rows: ".hazards li", face: ".face svg text" };
  window.seen = {};
  const look = () => {
    for (const [name, where] of Object.entries(wanted)) {
      if (name in window.seen || !document.querySelector(where)) continue;
      window.seen[name] = null;
      requestAnimationFrame(() => setTimeout(() => (window.seen[name] = performance.now())));
    }
  };
  new MutationObserver(look).observe(document, { childList: true, subtree: true });
}

async function press_demo(page) {
  const press = page.getByRole("button", { name: names.demo });
  await press.waitFor();
  const started = await page.evaluate(() => performance.now());
  await press.click();
  return started;
}

async function view(browser, address, rest_ms, ask_for_demo = false) {
  const context = await browser.newContext({ viewport: { width: 1366, height: 768 } });
  const page = await context.newPage();
  await page.addInitScript(watch);
  await page.waitForTimeout(rest_ms);
  await page.goto(address);
  const started = ask_for_demo ? await press_demo(page) : 0;
  await page.waitForFunction(() => window.seen.rows && window.seen.face, null, { polling: 500, timeout: patience_ms });
  const seen = await page.evaluate(() => window.seen);
  await context.close();
  return { rows: seen.rows - started, face: seen.face - started };
}

async function both_views(browser, rest_ms) {
  const server = await start_server();
  const made = await view(browser, server.address, rest_ms, true);
  const opened = await view(browser, `${server.address}/#/g/demo/compare`, rest_ms);
  await server.stop();
  return { made, opened };
}

const median = (list) => [...list].sort((a, b) => a - b)[list.length >> 1];

function tell(where, how, what, times) {
  const words = `${median(times).toFixed(0)} ms median, ${Math.min(...times).toFixed(0)} ms least of ${times.length}`;
  console.log(`first_view/${where}/${how}/${what} ${words}`);
}

const browser = await open_browser();
const seen = Object.fromEntries(Object.keys(windows).map((where) => [where, []]));
for (let run = 0; run < runs; run += 1)
  for (const [where, rest_ms] of Object.entries(windows)) seen[where].push(await both_views(browser, rest_ms));
for (const where of Object.keys(windows))
  for (const how of ["made", "opened"])
    for (const what of ["rows", "face"])
      tell(
        where,
        how,
        what,
        seen[where].map((one) => one[how][what]),
      );
await browser.close();
