// The workbench over TLS: a browser that has taken in the folder's authority trusts it, another does not.
import { spawnSync } from "node:child_process";
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { chromium } from "playwright-core";
import { to_first_test, until_kept } from "./phone_test.mjs";
import { check, equal, test } from "./runner.mjs";
import { new_folder, start_server } from "./server.mjs";
import { make_small_graft } from "./small_loom.mjs";

// A home whose certificate store (NSS) has the authority of `folder`.
function home_that_trusts(folder) {
  const home = new_folder();
  const store = join(home, ".pki/nssdb");
  mkdirSync(store, { recursive: true });
  for (const step of [
    ["-N", "--empty-password"],
    ["-A", "-t", "C,,", "-n", "workshop", "-i", join(folder, ".loomgraft-tls/authority.crt")],
  ]) {
    const done = spawnSync("certutil", ["-d", `sql:${store}`, ...step]);
    equal(done.status, 0, `certutil ${step[0]}: ${done.stderr}`);
  }
  return home;
}

async function with_browser(home, address, work) {
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ["--no-sandbox"],
    env: { ...process.env, HOME: home },
  });
  try {
    const context = await browser.newContext({ baseURL: address });
    return await work(await context.newPage());
  } finally {
    await browser.close();
  }
}

test("over TLS a browser that has taken in the certificate has a secure page, and keeps the plan without a link", async () => {
  const server = await start_server(new_folder(), 0, ["--lan", "--tls"]);
  const address = server.address.replace("http:", "https:");
  try {
    await with_browser(new_folder(), address, async (page) => {
      const refused = await page.goto("/").catch((error) => String(error));
      check(String(refused).includes("ERR_CERT_AUTHORITY_INVALID"), `a browser without it refuses: ${refused}`);
    });
    await with_browser(home_that_trusts(server.folder), address, async (page) => {
      const graft = await make_small_graft(page, "yard");
      await to_first_test(page, graft);
      check(await page.evaluate(() => window.isSecureContext), "the page is in a secure context");
      await until_kept(page, ["/", "/app.js", `/grafts/${graft}`, "/reports/prove", "/drawings/face/found.C2"]);
      await server.stop();
      await page.reload();
      await page.locator(".step-test .drawing-box svg").first().waitFor();
    });
  } finally {
    await server.stop();
  }
});
