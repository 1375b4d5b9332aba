// The page's model, without a page: patches, sizes, addresses, what was seen of a plug.

import { join } from "node:path";
import { build } from "esbuild";
import { check, equal, open_page, test } from "./runner.mjs";
import { root } from "./server.mjs";

async function load(name) {
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

const sample = () => ({ format: "loomgraft", version: 1, wires: [{ id: "w/1", area_mm2: 1 }, { id: "w~2" }] });

test("model: a patch changes a copy, and only where the id stands that it was made for", async () => {
  const { patched, pointer, set_member } = await load("model/patch.ts");
  const before = sample();
  const after = patched(before, set_member("/wires/0", "w/1", "area_mm2", 2.5));
  equal(after.wires[0].area_mm2, 2.5, "the copy is changed");
  equal(before.wires[0].area_mm2, 1, "what it was made of is not");
  equal(patched(before, set_member("/wires/1", "w/1", "area_mm2", 2.5)), null, "another id stands there");
  equal("area_mm2" in patched(before, set_member("/wires/0", "w/1", "area_mm2", undefined)).wires[0], false, "taken out");
  equal(patched(before, [{ op: "add", path: "/nowhere/0", value: 1 }]), null, "nothing is there to change");
  equal(pointer("a/b", 0, "c~d"), "/a~1b/0/c~0d", "RFC 6901 escapes");
  equal(patched(before, [{ op: "remove", path: "/wires/0" }]).wires.length, 1, "an item is taken out of a list");
});

test("model: units of the program's words are written as on a meter", async () => {
  const { with_signs } = await load("model/signs.ts");
  equal(with_signs("8.11 mohm to 452 mohm; 49.5 Mohm to OL"), "0.008 Ω to 0.452 Ω; 49.5 MΩ to OL", "ohms, and no mΩ beside MΩ");
  equal(with_signs("20 C, 0.35 mm2, 5 uV, 12 ohm, 3.3 kohm"), "20 °C, 0.35 mm², 5 µV, 12 Ω, 3.3 kΩ", "the others");
  equal(with_signs("C1 is the ohmmeter's plug"), "C1 is the ohmmeter's plug", "words stay words");
});

test("model: a change is told by what a person did, the items it touched after that", async () => {
  const { in_one_line, in_short } = await load("model/change_words.ts");
  equal(in_one_line('table "x" taken in; connector C1 added; module m added'), 'table "x" taken in, and 2 more changes', "several");
  equal(in_one_line("the donor; module m added"), "the donor, and 1 more change", "two");
  equal(in_one_line("the donor"), "the donor", "one");
  equal(in_short("the donor; module m added").rest.join(), "module m added", "what was touched");
});

test("model: a measured fact goes to its wire, of the loom or of the plan, or to its device", async () => {
  const { state, fact, measurable } = await load("model/measured.ts");
  const doc = { ...sample(), plan: [{ action: "add", added: { id: "n1" } }], devices: [{ id: "Y1", resistance_ohm: 7 }] };
  equal(state(doc, "n1", "length_mm", 1200.0000001)[1].path, "/plan/0/added/length_mm", "a wire of the plan");
  equal(state(doc, "n1", "length_mm", 1200.0000001)[1].value, 1200, "six digits are enough");
  equal(state(doc, "Y1", "resistance_ohm", undefined)[1].op, "remove", "a fact is taken back");
  equal(state(doc, "nobody", "length_mm", 1).length, 0, "nothing for nobody");
  equal(fact(doc, "Y1", "resistance_ohm"), "7", "what the document says");
  equal(measurable(doc, "Y1", "inductance_h").member, "inductance_mh", "henries are written as millihenries");
  equal(measurable(doc, "Y1", "temperature"), undefined, "what no member stands for");
});

// ASTM B258: AWG 20 is 0.0320 inch, AWG 10 0.1019 inch, 4/0 0.4600 inch across; areas follow from them. From memory; half a
// percent of tolerance, for the table rounds its diameters.
test("model: AWG sizes have the areas of ASTM B258", async () => {
  const { awg_sizes, size_words } = await load("model/sizes.ts");
  const area = (name) => awg_sizes.find((size) => size.name === name)?.area_mm2 ?? 0;
  const near = (got, wanted) => Math.abs(got / wanted - 1) < 0.005;
  check(near(area("AWG 20"), 0.5189), `AWG 20: ${area("AWG 20")}`);
  check(near(area("AWG 10"), 5.261), `AWG 10: ${area("AWG 10")}`);
  check(near(area("AWG 4/0"), 107.2), `AWG 4/0: ${area("AWG 4/0")}`);
  equal(size_words(0.518, "awg"), "AWG 20", "a size that is one");
  equal(size_words(0.75, "awg"), "about AWG 18", "a size that is near one");
  equal(size_words(null, "metric"), "not stated", "none");
});

test("model: what was seen becomes the question, and rows at one height are one row", async () => {
  const { glimpse_shapes, query_of } = await load("model/glimpse.ts");
  const rows = [
    { cavities: ["1", "2"], y_mm: 0 },
    { cavities: ["3", "", "4"], y_mm: 0 },
    { cavities: ["5"], y_mm: 4 },
  ];
  equal(
    JSON.stringify(
      glimpse_shapes([
        { id: "a", rows },
        { id: "b", rows },
      ]),
    ),
    "[[4,1]]",
    "gaps are not counted, equal shapes stand once",
  );
  const query = query_of({
    rows: [4, 1],
    seen: { "1 2": { base: "RD", tracer: "GN", large: true }, "2 1": { empty: true } },
    latch: "top",
    side: "",
  });
  equal(
    JSON.stringify(query),
    '{"seen":[{"row":1,"column":2,"colour":"RD/GN","large":true},{"row":2,"column":1,"empty":true}],"latch":"top"}',
    "the question",
  );
});

test("model: sources that disagree are told from those that do not", async () => {
  const { disagreement } = await load("model/document.ts");
  const claim = (kind, base, proved) => ({ class: kind, colour: { base }, ...(proved ? { proved } : {}) });
  const pin = (...claims) => ({ connector: "C1", cavity: "1", claims });
  equal(disagreement(pin(claim("power_earth", "BN"), claim("sensor_earth", "BN"))).about, "kind", "kinds differ");
  equal(disagreement(pin(claim("knock", "BN"), claim("knock", "GN"))).about, "colour", "colours differ");
  equal(disagreement(pin(claim("knock", "BN"), claim("unknown", "BN"))), undefined, "one of them does not know");
  equal(disagreement(pin(claim("knock", "BN"), claim("shield", "BN", true))), undefined, "somebody looked");
});

test("model: a drawing is let into the page as shapes and text only", async (world) => {
  const made = await build({
    entryPoints: [join(root, "web/src/net/drawing.ts")],
    bundle: true,
    write: false,
    format: "iife",
    globalName: "drawings",
    footer: { js: "globalThis.drawings = drawings;" },
  });
  const page = await open_page(world);
  await page.goto("/");
  await page.evaluate(made.outputFiles[0].text);
  const evil = `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" onload="window.broken=1">
    <script>window.broken=2</script><style>*{color:red}</style>
    <foreignObject><img xmlns="http://www.w3.org/1999/xhtml" src="x" onerror="window.broken=3"/></foreignObject>
    <a xlink:href="javascript:window.broken=4"><text>a link</text></a><image href="http://elsewhere/x.png"/>
    <use xlink:href="http://elsewhere/#x"/><rect fill="url(http://elsewhere/#y)" style="fill:red" width="9"/>
    <g data-wire="w1"><title>&lt;img src=x&gt;</title><path d="M0 0H1" fill="url(#wire-RD)"/></g></svg>`;
  const written = await page.evaluate((markup) => {
    const svg = globalThis.drawings.drawing_of(markup);
    document.body.append(svg);
    return svg.outerHTML;
  }, evil);
  for (const bad of ["script", "<style", "foreignObject", "<img", "onload", "javascript", "elsewhere", "style="]) {
    check(!written.replace(/&lt;img/g, "").includes(bad), `${bad} was let in: ${written}`);
  }
  check(written.includes('data-wire="w1"') && written.includes("url(#wire-RD)"), `what a drawing needs is still there: ${written}`);
  equal(await page.evaluate(() => window.broken), undefined, "nothing of it ran");
  equal(await page.evaluate(() => globalThis.drawings.drawing_of("<p>no drawing</p>")), null, "what is no drawing is none");
  world.errors.length = 0; // the policy complains of what the drawing held, before it was cleaned
});

test("model: two pins are one circuit: said once, over what it rules out, and taken back", async () => {
  const { say_circuit, take_back_circuit } = await load("model/answers.ts");
  const { patched } = await load("model/patch.ts");
  const { find_pin } = await load("model/document.ts");
  const pins = (connector) => ["1", "2"].map((cavity) => ({ connector, cavity }));
  const before = {
    format: "loomgraft",
    version: 1,
    connectors: [
      { id: "v.C1", name: "C1" },
      { id: "d.C1", name: "C1" },
    ],
    modules: [
      { id: "v", connectors: ["v.C1"], pins: pins("v.C1") },
      { id: "d", connectors: ["d.C1"], pins: pins("d.C1") },
    ],
  };
  const say = (doc, mine, theirs, different = false) =>
    patched(doc, say_circuit(doc, find_pin(doc, doc.modules[0], "C1", mine), find_pin(doc, doc.modules[1], "C1", theirs), different));
  const first = say(before, "1", "2");
  equal(JSON.stringify(first.circuit_answers[0].donor), '{"connector":"d.C1","cavity":"2"}', "kept by id of the plug");
  const apart = say(first, "1", "1", true);
  equal(apart.circuit_answers.length, 2, "not the same as a third rules nothing out");
  const other = say(apart, "2", "2");
  equal(other.circuit_answers.map(({ id }) => id).join(), "v.C1 1 = d.C1 1,v.C1 2 = d.C1 2", "a pin has one partner");
  equal(say(other, "1", "1").circuit_answers.find(({ id }) => id === "v.C1 1 = d.C1 1").different, undefined, "the pair has one answer");
  const less = patched(other, take_back_circuit(other, "v.C1 1 = d.C1 1"));
  equal(less.circuit_answers.length, 1, "one is taken back");
  const none = patched(less, take_back_circuit(less, "v.C1 2 = d.C1 2"));
  equal(JSON.stringify(none), JSON.stringify(before), "and the last one leaves nothing behind");
  equal(take_back_circuit(none, "v.C1 2 = d.C1 2").length, 0, "nothing is taken back twice");
});

test("model: a reading is told as the meter shows it; milliohms are never taken for megohms", async () => {
  const { amount } = await load("model/proof.ts");
  const cases = [
    [0.4, "ohm", "0.4 Ω"],
    [0.0441, "ohm", "0.044 Ω"],
    [0, "ohm", "0 Ω"],
    [12345, "ohm", "12.3 kΩ"],
    [4.7e6, "ohm", "4.7 MΩ"],
    [1e9, "ohm", "over range"],
    [0.0123, "V", "12.3 mV"],
    [-0.0123, "V", "-12.3 mV"],
    [13.81, "V", "13.8 V"],
    [0.25, "A", "250 mA"],
  ];
  for (const [value, unit, words] of cases) equal(amount(value, unit), words, `${value} ${unit}`);
});

test("model: rows of the table of steps and mistakes, what passes a filter, where the next mark is", async () => {
  const { matrix_of, next_mark, no_filter, rows_shown } = await load("model/matrix.ts");
  const fault = (id, harm) => ({ id, words: `mistake ${id}`, harm });
  const step = (id, exposes) => ({ id, exposes, condition: "dead", words: id, band: { low: 0, high: 1, unit: "V" } });
  // a and b look alike; d is shown by nothing. x stands in no plan.
  const report = {
    faults: [fault("a", "none"), fault("b", "fire"), fault("c", "false_signal"), fault("d", "damage")],
    tests: [step("x", ["a", "b", "c", "d"]), step("s1", ["a", "b"]), step("s2", ["c"]), step("s3", ["a", "b", "c"])],
    plan: ["s1", "s2", "s3"],
    matrix: [["a", "b"], ["c"], ["d"]],
  };
  const matrix = matrix_of(report);
  equal(
    JSON.stringify(matrix.rows.map((row) => [row.words, row.harm, row.steps])),
    '[["mistake a (and 1 more)","fire",[0,2]],["mistake c","false_signal",[1,2]],["mistake d","damage",[]]]',
    "rows",
  );
  const shown = (filter, fates = ["none", "none", "none"]) => rows_shown(matrix, fates, { ...no_filter, ...filter }).join();
  equal(shown({}), "0,1,2", "all");
  equal(shown({ harmful: true }), "0,2", "what could damage or burn");
  equal(shown({ unexposed: true }), "2", "what no step shows");
  equal(shown({ open: true }, ["in", "out", "none"]), "1,2", "in band rules out, out of band does not");
  equal(shown({ words: " MISTAKE B" }), "0", "words of any of the row's faults");
  equal(JSON.stringify(next_mark(matrix, [0, 1, 2], { row: 0, step: 0 }, 0, 1)), '{"row":0,"step":2}', "along the row");
  equal(JSON.stringify(next_mark(matrix, [0, 1, 2], { row: 0, step: 0 }, 1, 0)), '{"row":0,"step":0}', "no mark below");
});
