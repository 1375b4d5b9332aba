// The model of the page, without a page: patches, sizes, figures, readings, what was seen of a plug.

import { join } from "node:path";
import { build } from "esbuild";
import { load } from "./load.mjs";
import { check, equal, open_page, test } from "./runner.mjs";
import { root } from "./server.mjs";

const sample = () => ({ format: "loomgraft", version: 1, wires: [{ id: "w/1", area_mm2: 1 }, { id: "w~2" }] });

test("model: a patch changes a copy, and only if the item has the expected id", async () => {
  const { patched, pointer, set_member } = await load("model/patch.ts");
  const before = sample();
  const after = patched(before, set_member("/wires/0", "w/1", "area_mm2", 2.5));
  equal(after.wires[0].area_mm2, 2.5, "the copy is changed");
  equal(before.wires[0].area_mm2, 1, "the original is not");
  equal(patched(before, set_member("/wires/1", "w/1", "area_mm2", 2.5)), null, "another id is there");
  equal("area_mm2" in patched(before, set_member("/wires/0", "w/1", "area_mm2", undefined)).wires[0], false, "removed");
  equal(patched(before, [{ op: "add", path: "/nowhere/0", value: 1 }]), null, "there is nothing to change");
  equal(pointer("a/b", 0, "c~d"), "/a~1b/0/c~0d", "RFC 6901 escapes");
  equal(patched(before, [{ op: "remove", path: "/wires/0" }]).wires.length, 1, "an item is removed from a list");
});

test("model: units have the signs of a meter, and milliohms are written in ohms", async () => {
  const { figure } = await load("model/units.ts");
  const cases = [
    [0.35, "mm2", "0.35 mm²"],
    [20, "C", "20 °C"],
    [12.34, "ohm", "12.3 Ω"],
    [8.11, "mohm", "0.008 Ω"],
    [5, "uV", "5 µV"],
    [null, "A", "no limit"],
  ];
  for (const [value, unit, text] of cases) equal(figure(value, unit), text, `${value} ${unit}`);
});

test("model: a revision in one line is what the person did and how many more changes came with it", async () => {
  const { changes_of, in_one_line } = await load("model/changes.ts");
  const line = (...changes) => in_one_line({ text: changes.join("; "), changes });
  equal(line('table "x" added', "connector C1 added", "module m added"), 'table "x" added, and 2 more changes', "several");
  equal(line("the donor", "module m added"), "the donor, and 1 more change", "two");
  equal(line("a; b"), "a; b", "a semicolon in a change is no separator");
  equal(changes_of({ text: "the donor" }).join(), "the donor", "without a list the text is the change");
});

test("model: a measured fact goes to its wire, in the loom or in the plan, or to its device", async () => {
  const { set_fact, fact_text, measurable } = await load("model/measured.ts");
  const doc = { ...sample(), plan: [{ action: "add", added: { id: "n1" } }], devices: [{ id: "Y1", resistance_ohm: 7 }] };
  equal(set_fact(doc, "n1", "length_mm", 1200.0000001)[1].path, "/plan/0/added/length_mm", "a wire of the plan");
  equal(set_fact(doc, "n1", "length_mm", 1200.0000001)[1].value, 1200, "six digits are enough");
  equal(set_fact(doc, "Y1", "resistance_ohm", undefined)[1].op, "remove", "a fact is removed");
  equal(set_fact(doc, "nobody", "length_mm", 1).length, 0, "nothing for an unknown subject");
  equal(fact_text(doc, "Y1", "resistance_ohm"), "7", "what the document says");
  equal(measurable(doc, "Y1", "inductance_h").member, "inductance_mh", "henries are written as millihenries");
  equal(measurable(doc, "Y1", "temperature"), undefined, "no member for it");
});

// ASTM B258, from memory: AWG 20 has a diameter of 0.0320 inch, AWG 10 0.1019 inch, 4/0 0.4600 inch. The tolerance is half a
// percent because the table rounds its diameters.
test("model: AWG sizes have the areas of ASTM B258", async () => {
  const { awg_sizes, size_text } = await load("model/sizes.ts");
  const area = (name) => awg_sizes.find((size) => size.name === name)?.area_mm2 ?? 0;
  const near = (got, wanted) => Math.abs(got / wanted - 1) < 0.005;
  check(near(area("AWG 20"), 0.5189), `AWG 20: ${area("AWG 20")}`);
  check(near(area("AWG 10"), 5.261), `AWG 10: ${area("AWG 10")}`);
  check(near(area("AWG 4/0"), 107.2), `AWG 4/0: ${area("AWG 4/0")}`);
  equal(size_text(0.518, "awg"), "AWG 20", "an exact size");
  equal(size_text(0.75, "awg"), "about AWG 18", "the nearest size");
  equal(size_text(null, "metric"), "not stated", "none");
});

test("model: what was seen becomes the query, and rows at one height are one row", async () => {
  const { plug_shapes, query_of } = await load("model/observation.ts");
  const rows = [
    { cavities: ["1", "2"], y_mm: 0 },
    { cavities: ["3", "", "4"], y_mm: 0 },
    { cavities: ["5"], y_mm: 4 },
  ];
  const plugs = [
    { id: "a", rows },
    { id: "b", rows },
  ];
  equal(JSON.stringify(plug_shapes(plugs)), "[[4,1]]", "gaps are not counted, equal shapes are listed once");
  const query = query_of({
    rows: [4, 1],
    seen: [
      { row: 1, column: 2, base: "RD", tracer: "GN", large: true },
      { row: 2, column: 1, empty: true },
    ],
    latch: "top",
    side: "",
  });
  const wanted = '{"seen":[{"row":1,"column":2,"colour":"RD/GN","large":true},{"row":2,"column":1,"empty":true}],"latch":"top"}';
  equal(JSON.stringify(query), wanted, "the query");
});

test("model: a cavity is seen anew or cleared; the plug seen from its other side is mirrored", async () => {
  const { mirrored, with_cavity } = await load("model/observation.ts");
  const blank = { rows: [3], seen: [], latch: "left", side: "mating" };
  const once = with_cavity(blank, { row: 1, column: 1, base: "RD" });
  const twice = with_cavity(once, { row: 1, column: 1, empty: true });
  equal(JSON.stringify(twice.seen), '[{"row":1,"column":1,"empty":true}]', "the later observation replaces the first");
  equal(with_cavity(twice, { row: 1, column: 1 }).seen.length, 0, "a cavity of which nothing is known is left out");
  const other = mirrored(once);
  equal(`${other.seen[0].column} ${other.latch} ${other.side}`, "3 right wire_entry", "left and right are swapped");
});

test("model: sources that disagree are recognised", async () => {
  const { disagreement } = await load("model/document.ts");
  const claim = (kind, base, proved) => ({ class: kind, colour: { base }, ...(proved ? { proved } : {}) });
  const pin = (...claims) => ({ connector: "C1", cavity: "1", claims });
  equal(disagreement(pin(claim("power_earth", "BN"), claim("sensor_earth", "BN"))).about, "class", "classes differ");
  equal(disagreement(pin(claim("knock", "BN"), claim("knock", "GN"))).about, "colour", "colours differ");
  equal(disagreement(pin(claim("knock", "BN"), claim("unknown", "BN"))), undefined, "one of them does not know");
  equal(disagreement(pin(claim("knock", "BN"), claim("shield", "BN", true))), undefined, "a person looked");
});

test("model: only the shapes and texts of a drawing get into the page", async (world) => {
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
    check(!written.replace(/&lt;img/g, "").includes(bad), `${bad} got in: ${written}`);
  }
  check(written.includes('data-wire="w1"') && written.includes("url(#wire-RD)"), `what a drawing needs is still there: ${written}`);
  equal(await page.evaluate(() => window.broken), undefined, "nothing of it ran");
  equal(await page.evaluate(() => globalThis.drawings.drawing_of("<p>no drawing</p>")), null, "no drawing from other markup");
  world.errors.length = 0; // the policy reports what was in the drawing before it was cleaned
});

test("model: an answer about two pins replaces what it rules out, and can be removed", async () => {
  const { record_circuit_answer, remove_circuit_answer } = await load("model/answers.ts");
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
  const answer = (doc, mine, theirs, different = false) =>
    patched(
      doc,
      record_circuit_answer(doc, find_pin(doc, doc.modules[0], "C1", mine), find_pin(doc, doc.modules[1], "C1", theirs), different),
    );
  const first = answer(before, "1", "2");
  equal(JSON.stringify(first.circuit_answers[0].donor), '{"connector":"d.C1","cavity":"2"}', "kept by id of the plug");
  const apart = answer(first, "1", "1", true);
  equal(apart.circuit_answers.length, 2, "“not the same” rules nothing out");
  const other = answer(apart, "2", "2");
  equal(other.circuit_answers.map(({ id }) => id).join(), "v.C1 1 = d.C1 1,v.C1 2 = d.C1 2", "a pin has one partner");
  equal(answer(other, "1", "1").circuit_answers.find(({ id }) => id === "v.C1 1 = d.C1 1").different, undefined, "the pair has one answer");
  const less = patched(other, remove_circuit_answer(other, "v.C1 1 = d.C1 1"));
  equal(less.circuit_answers.length, 1, "one is removed");
  const none = patched(less, remove_circuit_answer(less, "v.C1 2 = d.C1 2"));
  equal(JSON.stringify(none), JSON.stringify(before), "and the last one leaves nothing behind");
  equal(remove_circuit_answer(none, "v.C1 2 = d.C1 2").length, 0, "nothing is removed twice");
});

test("model: a reading is written as the meter shows it; milliohms cannot be taken for megohms", async () => {
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
  for (const [value, unit, text] of cases) equal(amount(value, unit), text, `${value} ${unit}`);
});

test("model: marks of a reading come from its fields, or from its id if an earlier version of the page made it", async () => {
  const { new_reading_id, with_marks } = await load("model/reading.ts");
  const reading = { test: "t", value: 1, unit: "V" };
  const marks = (one) => {
    const { practice, in_band_only } = with_marks({ ...reading, ...one });
    return `${practice} ${in_band_only}`;
  };
  equal(marks({ id: "a1" }), "false false", "a measured value");
  equal(marks({ id: "practice-a1" }), "true false", "practice");
  equal(marks({ id: "in-band-a1" }), "false true", "only “in band”");
  equal(marks({ id: "practice-in-band-a1" }), "true true", "both");
  equal(marks({ id: "practice-a1", practice: false }), "false undefined", "fields come first");
  equal(marks({ id: new_reading_id() }), "false false", "a new id has no marks in it");
});

test("model: rows of the table of steps and faults, what a filter leaves, where the next mark is", async () => {
  const { matrix_of, next_mark, no_filter, rows_shown } = await load("model/matrix.ts");
  const fault = (id, harm) => ({ id, text: `fault ${id}`, harm });
  const step = (id, exposes) => ({ id, exposes, condition: "dead", text: id, band: { low: 0, high: 1, unit: "V" } });
  // a and b look the same; no step detects d. x is not in the plan.
  const report = {
    faults: [fault("a", "none"), fault("b", "fire"), fault("c", "false_signal"), fault("d", "damage")],
    tests: [step("x", ["a", "b", "c", "d"]), step("s1", ["a", "b"]), step("s2", ["c"]), step("s3", ["a", "b", "c"])],
    plan: ["s1", "s2", "s3"],
    matrix: [["a", "b"], ["c"], ["d"]],
  };
  const matrix = matrix_of(report);
  equal(
    JSON.stringify(matrix.rows.map((row) => [row.text, row.harm, row.steps])),
    '[["fault a (and 1 more)","fire",[0,2]],["fault c","false_signal",[1,2]],["fault d","damage",[]]]',
    "rows",
  );
  const shown = (filter, results = ["to_do", "to_do", "to_do"]) => rows_shown(matrix, results, { ...no_filter, ...filter }).join();
  equal(shown({}), "0,1,2", "all");
  equal(shown({ harmful: true }), "0,2", "what could damage or burn");
  equal(shown({ unexposed: true }), "2", "what no step detects");
  equal(shown({ open: true }, ["in_band", "out_of_band", "to_do"]), "1,2", "in band rules out, out of band does not");
  equal(shown({ text: " FAULT B" }), "0", "text of any of the row's faults");
  equal(JSON.stringify(next_mark(matrix, [0, 1, 2], { row: 0, step: 0 }, 0, 1)), '{"row":0,"step":2}', "along the row");
  equal(JSON.stringify(next_mark(matrix, [0, 1, 2], { row: 0, step: 0 }, 1, 0)), '{"row":0,"step":0}', "no mark below");
});
