// What people do on the page, as steps that tests share.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { root } from "./server.mjs";

export const demo_file = (name) => readFileSync(join(root, "examples/power-takeoff", name), "utf8");

export const stage = async (page, graft, name, query = "") => {
  await page.goto(`/#/g/${graft}/${name}${query}`);
  await page.locator("main h1").waitFor();
};

export const graft_of = (page) => /#\/g\/([^/]+)/.exec(page.url())?.[1] ?? "";

// Makes a graft through the API: for tests that are about something else.
export async function make_graft(page, name, { example = false, title = name } = {}) {
  await page.goto("/");
  const made = await page.evaluate(
    async (body) =>
      (await fetch("/api/grafts", { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) })).status,
    { name, title, example },
  );
  if (made !== 201) throw new Error(`the graft was not made: ${made}`);
  return name;
}

export async function start_graft(page, title) {
  await page.goto("/");
  await page.getByLabel("What is to be fitted, and into what").fill(title);
  await page.getByRole("button", { name: "Start it" }).click();
  await page.waitForURL(/#\/g\/.*\/gather/);
}

export async function paste_table(page, text, what = null) {
  const add = page.getByRole("button", { name: "Add a table" });
  await page.getByRole("button", { name: "Add a table" }).or(page.getByLabel("Paste a pin table here, or drop a file")).first().waitFor();
  if (await add.isVisible()) await add.click();
  await page.getByLabel("Paste a pin table here, or drop a file").fill(text);
  await page.getByRole("button", { name: "Read it" }).click();
  await page.getByRole("button", { name: "Take it in" }).waitFor();
  if (what) await page.getByLabel("What it is", { exact: true }).selectOption({ label: what });
  await page.getByRole("button", { name: "Take it in" }).click();
  await page.getByRole("button", { name: "Take it in" }).waitFor({ state: "detached" });
}

// What takes the program long is answered 202 first; it is there a little later.
export async function document_of(page, graft) {
  for (;;) {
    const [status, value] = await page.evaluate(async (name) => {
      const answer = await fetch(`/api/grafts/${name}`);
      return [answer.status, await answer.json()];
    }, graft);
    if (status === 200) return value;
    if (status !== 202) throw new Error(`the document was refused: ${status} ${JSON.stringify(value)}`);
  }
}

// Waits until the document that the program holds says so.
export async function until_document(page, graft, text) {
  for (let tries = 0; tries < 200; tries += 1) {
    if (JSON.stringify(await document_of(page, graft)).includes(text)) return;
  }
  throw new Error(`the document never came to hold ${text}`);
}
