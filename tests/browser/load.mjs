// A module of the page's source, for tests of it without a page.
import { join } from "node:path";
import { build } from "esbuild";
import { root } from "./server.mjs";

export async function load(name) {
  const made = await build({
    entryPoints: [join(root, "web/src", name)],
    bundle: true,
    write: false,
    format: "esm",
    target: "es2022",
    loader: { ".csv": "text" },
  });
  return import(`data:text/javascript;base64,${Buffer.from(made.outputFiles[0].text).toString("base64")}`);
}
