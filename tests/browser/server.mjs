// The program under test: starts it on its own folder, stops it, starts it again on the same folder.
import { spawn } from "node:child_process";
import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

export const root = join(dirname(fileURLToPath(import.meta.url)), "../..");
// Proofs are kept there between tests, most of which open the same demo.
const cache = join(process.env.LOOMGRAFT_BUILD ?? join(root, "build"), "browser_cache");
const program = process.env.LOOMGRAFT_PROGRAM ?? join(root, "build/loomgraft");

function first_address(child) {
  return new Promise((done, failed) => {
    let said = "";
    const listen = (chunk) => {
      said += chunk;
      const address = /http:\/\/(?:127\.0\.0\.1|localhost):\d+/.exec(said)?.[0];
      if (address) done(address);
    };
    child.stdout.on("data", listen);
    child.stderr.on("data", listen);
    child.on("error", failed);
    child.on("exit", (status) => failed(new Error(`the program ended with ${status} before it gave its address: ${said}`)));
  });
}

export const new_folder = () => mkdtempSync(join(tmpdir(), "loomgraft-browser-"));

export async function start_server(folder = new_folder(), port = 0, options = []) {
  const child = spawn(program, ["serve", folder, "--port", String(port), ...options], {
    cwd: root,
    stdio: ["ignore", "pipe", "pipe"],
    env: { ...process.env, XDG_CACHE_HOME: cache },
  });
  const address = await first_address(child);
  const ended = new Promise((done) => child.on("exit", done));
  return {
    address,
    folder,
    port: Number(new URL(address).port),
    async kill() {
      child.kill("SIGKILL");
      await ended;
    },
    async stop() {
      child.kill("SIGTERM");
      await ended;
    },
  };
}
