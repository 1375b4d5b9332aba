// How long a circuit card takes to show the verdict of an edit: from the choice of another wire size to the first paint with
// the figures of the new design, on an own job of 31 circuits. Beside it, in the same run, the round trip of an edit that
// changes nothing and of the design report alone.
// Median of several runs, in ms.
// Usage: node bench/card_verdict.mjs [runs]
import { body_controller as job } from "../tests/browser/jobs.mjs";
import { open_browser } from "../tests/browser/runner.mjs";
import { start_server } from "../tests/browser/server.mjs";
import { button, graft_of, names, stage } from "../tests/browser/steps.mjs";

const runs = Number(process.argv[2] ?? 21);
const circuit = "fog lamp relay";
const sizes = ["0.75", "1"]; // in turn: each edit changes what the card shows

async function complete_job(page) {
  await page.goto("/#/new");
  await page.getByLabel(names.new_graft).fill(job.title);
  await page.getByLabel(names.vehicle_table).fill(job.found);
  await page.getByLabel(names.donor_table).fill(job.donor);
  await page.locator(".read-summary").nth(1).waitFor();
  await page.getByRole("button", { name: names.create_job }).click();
  await button(page, names.make_plan).click();
  await page.waitForFunction(() => document.querySelector(".rail") !== null);
  await page.waitForTimeout(500);
  await stage(page, graft_of(page), "circuits");
  await page.getByLabel(names.vehicle_shape).selectOption(job.shape);
  await page.getByRole("button", { name: names.take_all }).click();
  await page.getByText(names.all_ends).waitFor();
}

async function open_wire(page) {
  const card = page.locator(".circuit-card", { hasText: circuit }).first();
  if ((await card.locator(".circuit-head").getAttribute("aria-expanded")) !== "true") await card.locator(".circuit-head").click();
  await card.locator(".card-figures").waitFor();
  await card.locator("button.part-wire").first().click();
  await card.locator(".part-editor").waitFor();
  await page.waitForTimeout(1500); // what was asked for before is answered
}

// In the page: from the choice to the paint after the figures changed.
const edit_and_look = (page, size) =>
  page.evaluate(
    (wanted) =>
      new Promise((done) => {
        const card = document.querySelector(".circuit-card-open");
        const figures = () => card.querySelector(".card-figures")?.textContent;
        const before = figures();
        const select = [...card.querySelectorAll(".part-editor select")].find((one) =>
          [...one.options].some(({ value }) => value === wanted),
        );
        const watcher = new MutationObserver(() => {
          if (figures() === before) return;
          watcher.disconnect();
          requestAnimationFrame(() => setTimeout(() => done(performance.now() - started)));
        });
        watcher.observe(card, { childList: true, subtree: true, characterData: true });
        const started = performance.now();
        select.value = wanted;
        select.dispatchEvent(new Event("change", { bubbles: true }));
      }),
    size,
  );

// An edit that tests the title and changes nothing; then the design report, which is at hand.
const round_trips = (page, graft) =>
  page.evaluate(
    async (at) => {
      const took = async (ask) => {
        const started = performance.now();
        await (await ask()).text();
        return performance.now() - started;
      };
      const head = await fetch(at);
      const { title } = await head.json();
      const headers = { "If-Match": head.headers.get("ETag"), "Content-Type": "application/json-patch+json" };
      const body = JSON.stringify([{ op: "test", path: "/title", value: title }]);
      return {
        empty_edit: await took(() => fetch(at, { method: "PATCH", headers, body })),
        design_at_hand: await took(() => fetch(`${at}/reports/design`)),
      };
    },
    `/api/grafts/${encodeURIComponent(graft)}`,
  );

const median = (list) => [...list].sort((a, b) => a - b)[list.length >> 1];

function tell(what, times) {
  console.log(`card_verdict/${what} ${median(times).toFixed(0)} ms median, ${Math.min(...times).toFixed(0)} ms least of ${times.length}`);
}

const browser = await open_browser();
const server = await start_server();
const context = await browser.newContext({ viewport: { width: 1366, height: 768 }, baseURL: server.address });
const page = await context.newPage();
await complete_job(page);
await open_wire(page);
const seen = { edit_to_verdict: [], empty_edit: [], design_at_hand: [] };
for (let run = 0; run < runs; run += 1) {
  seen.edit_to_verdict.push(await edit_and_look(page, sizes[run % sizes.length]));
  await page.waitForTimeout(600); // reports of the rail
  const trips = await round_trips(page, graft_of(page));
  for (const [what, time] of Object.entries(trips)) seen[what].push(time);
}
for (const [what, times] of Object.entries(seen)) tell(what, times);
await browser.close();
await server.stop();
