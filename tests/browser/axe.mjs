// What axe-core finds on a page as it stands.

import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

export async function violations(page, options = {}) {
  // Through the debugger, not as a script of the page: the page's policy refuses inline scripts.
  await page.evaluate(axe);
  const found = await page.evaluate(async (run) => (await globalThis.axe.run(document, run)).violations, options);
  return found.map(
    (one) =>
      `${one.id}: ${one.help}\n  ${one.nodes
        .slice(0, 4)
        .map((node) => `${node.target.join(" ")} ${node.any[0]?.message ?? ""}`)
        .join("\n  ")}`,
  );
}
