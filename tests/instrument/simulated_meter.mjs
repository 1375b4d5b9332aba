// A meter that is none, on a port of this computer: for tests of the page, and to try the program by hand:
//   node tests/instrument/simulated_meter.mjs [PORT]     then type what it shows: 0.25, 12.6, over
//   loomgraft serve FOLDER --meter tcp:127.0.0.1:PORT
import { createServer } from "node:net";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";

const over = "+9.90000000E+37";

export async function start_meter(port = 0) {
  const meter = { reading: over, function: "VOLT", heard: [], rubbish: "" };
  const sockets = new Set();
  const answer = (command) => {
    meter.heard.push(command);
    if (command === "*IDN?") return "EXAMPLE,BENCH 6,0042,1.0\n";
    if (command === "SYST:ERR?") return '+0,"No error"\n';
    if (command === "FUNC?") return `"${meter.function}"\n`;
    if (command === "READ?") return meter.rubbish || `${meter.reading}\n`;
    if (command.startsWith("CONF:")) meter.function = command.slice(5).split(" ")[0];
    return "";
  };
  const server = createServer((socket) => {
    sockets.add(socket);
    let input = "";
    socket.on("data", (bytes) => {
      const lines = (input + bytes.toString("latin1")).split("\n");
      input = lines.pop();
      for (const line of lines) socket.write(answer(line));
    });
    socket.on("close", () => sockets.delete(socket));
    socket.on("error", () => socket.destroy());
  });
  await new Promise((done) => server.listen(port, "127.0.0.1", done));
  return {
    address: `tcp:127.0.0.1:${server.address().port}`,
    heard: meter.heard,
    // A number, or null for leads in the air in ohms.
    shows(value) {
      meter.reading = value === null ? over : value.toExponential(8);
    },
    answers_rubbish(text) {
      meter.rubbish = text;
    },
    drop() {
      for (const socket of sockets) socket.destroy();
    },
    async stop() {
      for (const socket of sockets) socket.destroy();
      await new Promise((done) => server.close(done));
    },
  };
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const meter = await start_meter(Number(process.argv[2] ?? 5025));
  console.log(`Meter: ${meter.address}. Type what it shows.`);
  for await (const line of createInterface({ input: process.stdin })) {
    const value = Number(line);
    meter.shows(line.trim() === "" || Number.isNaN(value) ? null : value);
  }
  await meter.stop();
}
