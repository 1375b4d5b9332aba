// The model of the tables of the loom, without a page: patches, undo, references, ends, units, imports.

import { load } from "./load.mjs";
import { check, equal, test } from "./runner.mjs";
import { demo_file } from "./steps.mjs";

const demo_document = () => JSON.parse(demo_file("graft.json"));

// A document in a form in which the order of members does not matter.
function sorted(value) {
  if (Array.isArray(value)) return value.map(sorted);
  if (value === null || typeof value !== "object") return value;
  return Object.fromEntries(
    Object.keys(value)
      .sort()
      .map((name) => [name, sorted(value[name])]),
  );
}
const text_of = (doc) => JSON.stringify(sorted(doc));

// mulberry32: the same random numbers in every run.
function random(seed) {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

const pick = (next, list) => list[Math.floor(next() * list.length)];
const some = (next, list, most) => new Set(Array.from({ length: 1 + Math.floor(next() * most) }, () => pick(next, list)));
const lists = ["wires", "devices", "connectors", "places", "paths"];
const ids_in = (doc, list) => [
  ...(doc[list] ?? []).map((item) => item.id),
  ...(list === "wires" ? (doc.plan ?? []).flatMap((step) => (step.added ? [step.added.id] : [])) : []),
];

function random_cells(next, doc, list, ids) {
  const ends = () => ({ at: pick(next, ids_in(doc, "devices")) ?? "nothing", cavity: "1" });
  const choices = {
    wires: [
      ["area_mm2", () => 0.75],
      ["from", ends],
      ["to", () => undefined],
      ["colour", () => ({ base: "RD" })],
      ["along", () => (doc.paths ?? []).slice(0, 2).map((path) => path.id)],
    ],
    devices: [
      ["name", () => `device ${Math.floor(next() * 99)}`],
      ["place", () => pick(next, ids_in(doc, "places"))],
      ["rating_a", () => undefined],
      ["kind", () => "lamp"],
    ],
    connectors: [
      ["latch", () => "top"],
      ["mates", () => pick(next, ids_in(doc, "connectors"))],
      ["sealed", () => undefined],
    ],
    places: [
      ["hottest_c", () => Math.floor(next() * 120)],
      ["wet", () => true],
      ["name", () => undefined],
    ],
    paths: [
      ["length_mm", () => Math.floor(next() * 4000)],
      ["from", () => pick(next, ids_in(doc, "places"))],
      ["caution", () => "sharp edge"],
    ],
  };
  return [...ids].map((id) => {
    const [member, value] = pick(next, choices[list]);
    return { id, member, value: value() };
  });
}

// One action of a person, as the page makes it.
function random_patch(next, edits, pins, doc) {
  const list = pick(next, lists);
  const all = ids_in(doc, list);
  const kind = Math.floor(next() * 9);
  if (kind <= 1) {
    const make_id = edits.id_maker(doc, list);
    return edits.add_items(doc, list, [{ id: make_id("") }, { id: make_id("a new one") }]);
  }
  if (kind === 2) return pin_patch(next, pins, doc);
  if (all.length === 0) return [];
  if (kind === 3) return edits.remove(doc, list, some(next, all, 3));
  if (kind === 4) return edits.duplicate_items(doc, list, some(next, all, 4));
  if (kind === 5 && doc.paths?.length) return edits.rename_path(doc, pick(next, ids_in(doc, "paths")), `way ${Math.floor(next() * 99)}`);
  if (kind === 6 && next() < 0.1 && doc.modules?.length) return edits.remove(doc, "modules", new Set([pick(next, doc.modules).id]));
  return edits.set_cells(doc, list, random_cells(next, doc, list, some(next, all, 40)));
}

function pin_patch(next, pins, doc) {
  const module = pick(next, doc.modules ?? []);
  if (!module?.pins?.length) return [];
  const rows = [...some(next, module.pins, 5)];
  const changes = rows.map((pin) => {
    const key = pins.pin_key(pin);
    return pick(next, [
      { pin: key, member: "signal", value: `signal ${Math.floor(next() * 99)}` },
      { pin: key, member: "note", value: undefined },
      { pin: key, member: "class", value: "power_earth" },
      { pin: key, member: "cavity", value: `n${Math.floor(next() * 1e6)}` },
      { pin: key, member: "populated", value: next() < 0.5 },
    ]);
  });
  const kind = Math.floor(next() * 6);
  if (kind === 0) return pins.remove_pins(doc, module.id, new Set(rows.map(pins.pin_key)));
  if (kind === 1) return pins.add_pin(doc, module.id, module.connectors?.[0] ?? "", `x${Math.floor(next() * 1e6)}`);
  if (kind === 2 && (doc.modules ?? []).length < 4) return pins.duplicate_module(doc, module.id);
  return pins.set_pins(doc, module.id, changes);
}

test("loom model: random edits are undone and redone exactly", async () => {
  const edits = await load("model/loom_edits.ts");
  const pins = await load("model/pin_edits.ts");
  const { patch_between } = await load("model/patch_between.ts");
  const { patched } = await load("model/patch.ts");
  const start = demo_document();
  for (let seed = 1; seed <= 6; seed += 1) {
    const next = random(seed);
    const states = [start];
    const backwards = [];
    for (let count = 0; count < 40; count += 1) {
      const before = states.at(-1);
      const patch = random_patch(next, edits, pins, before);
      const after = patched(before, patch);
      check(after !== null, `seed ${seed}, edit ${count}: the patch applies: ${JSON.stringify(patch).slice(0, 300)}`);
      backwards.push(patch_between(after, before));
      states.push(after);
    }
    let doc = states.at(-1);
    for (let at = backwards.length - 1; at >= 0; at -= 1) {
      doc = patched(doc, backwards[at]);
      check(doc !== null && text_of(doc) === text_of(states[at]), `seed ${seed}: undo of edit ${at} gives the document before it`);
    }
    for (let at = 0; at < backwards.length; at += 1) {
      doc = patched(doc, patch_between(states[at], states[at + 1]));
      check(doc !== null && text_of(doc) === text_of(states[at + 1]), `seed ${seed}: redo of edit ${at} gives the document after it`);
    }
    for (const list of [...lists, "modules", "plan", "conditions", "circuit_answers"])
      check(doc[list] === undefined || doc[list].length > 0, `seed ${seed}: no empty list ${list}`);
  }
});

// The program keeps the history: what it undoes and redoes must be what the page showed.
test("loom model: the program undoes and redoes random edits exactly", async ({ server }) => {
  const edits = await load("model/loom_edits.ts");
  const pins = await load("model/pin_edits.ts");
  const { patched } = await load("model/patch.ts");
  const at = `${server.address}/api/grafts`;
  const json = { "Content-Type": "application/json" };
  const made = await fetch(at, { method: "POST", headers: json, body: JSON.stringify({ name: "random", title: "random", example: true }) });
  const start = await made.json();
  const open = async () => {
    const answer = await fetch(`${at}/random`);
    return { tag: answer.headers.get("ETag"), doc: await answer.json() };
  };
  const next = random(99);
  let doc = start;
  let count = 0;
  while (count < 25) {
    const patch = random_patch(next, edits, pins, doc);
    if (patch.length === 0) continue;
    const answer = await fetch(`${at}/random`, {
      method: "PATCH",
      headers: { "Content-Type": "application/json-patch+json", "If-Match": (await open()).tag },
      body: JSON.stringify(patch),
    });
    equal(answer.status, 200, `edit ${count} is taken: ${await answer.text()} ${JSON.stringify(patch).slice(0, 300)}`);
    doc = patched(doc, patch);
    count += 1;
  }
  check(text_of((await open()).doc) === text_of(doc), "the program has the document that the page shows");
  const steps = async (which) => {
    for (let done = 0; done < count; done += 1)
      equal((await fetch(`${at}/random/${which}`, { method: "POST", headers: { "If-Match": (await open()).tag } })).status, 200, which);
    return text_of((await open()).doc);
  };
  check((await steps("undo")) === text_of(start), "all undone: the document as it was");
  check((await steps("redo")) === text_of(doc), "all redone: the document as it became");
});

test("loom model: an edit does not touch what another device changed meanwhile", async () => {
  const { set_cells } = await load("model/loom_edits.ts");
  const { patched } = await load("model/patch.ts");
  const doc = { format: "loomgraft", version: 1, wires: [{ id: "a", area_mm2: 1 }, { id: "b" }] };
  const patch = set_cells(doc, "wires", [{ id: "b", member: "length_mm", value: 5 }]);
  const theirs = {
    ...doc,
    wires: [
      { id: "a", area_mm2: 2 },
      { id: "b", signal: "s" },
    ],
  };
  const both = patched(theirs, patch);
  equal(JSON.stringify(both.wires), '[{"id":"a","area_mm2":2},{"id":"b","signal":"s","length_mm":5}]', "both changes stand");
  equal(patched({ ...doc, wires: [{ id: "b" }, { id: "a" }] }, patch), null, "at another place it does not apply");
  equal(set_cells(doc, "wires", [{ id: "b", member: "length_mm", value: undefined }]).length, 0, "nothing to remove is no change");
});

test("loom model: what refers to a thing is said, and cleared with it", async () => {
  const { references_to, remove_items } = await load("model/references.ts");
  const doc = demo_document();
  for (const [list, id] of [
    ["devices", "Y20"],
    ["devices", "F31"],
    ["places", "dash"],
    ["paths", "bulkhead"],
    ["wires", "w_coding"],
    ["connectors", "found.C3"],
    ["modules", "found"],
  ]) {
    const ids = new Set([id]);
    check(references_to(doc, list, ids).length > 0, `something refers to ${id}`);
    const after = remove_items(doc, list, ids);
    equal(references_to(after, list, ids).length, 0, `nothing refers to ${id} any more`);
    check(!(after[list] ?? []).some((item) => item.id === id), `${id} is gone`);
  }
  const without = remove_items(doc, "connectors", new Set(["found.C3"]));
  check(!JSON.stringify(without).includes("found.C3"), "no trace of the plug is left");
  const alone = remove_items(doc, "modules", new Set(["donor"]));
  check(!JSON.stringify(alone).includes("donor."), "a module goes with its plugs and its source");
});

test("loom model: ends are written and read as people write them", async () => {
  const { end_book } = await load("model/ends.ts");
  const doc = demo_document();
  const book = end_book(doc);
  const read = (text) => JSON.stringify(book.read(text).end);
  equal(book.text({ at: "found.C2", cavity: "31" }), "C2-31", "a cavity of the vehicle's own plug");
  equal(book.text({ at: "donor.C2", cavity: "31" }), "C2 of the donor-31", "a plug of the same name of the donor");
  equal(book.text({ at: "G2", cavity: "1" }), "earth at the dash", "a device with one terminal");
  equal(book.text({ at: "K1", cavity: "85" }), "main relay:85", "a device with several");
  for (const text of ["C2-31", "c2 31", "C2:31", "found.C2:31"]) equal(read(text), '{"at":"found.C2","cavity":"31"}', text);
  for (const text of ["main relay:85", "Main  Relay 85", "K1:85", "k1-85"]) equal(read(text), '{"at":"K1","cavity":"85"}', text);
  equal(read("earth at the dash"), '{"at":"G2","cavity":"1"}', "the only terminal");
  equal(read(""), undefined, "an empty text removes the end");
  check(/which terminal/.test(book.read("main relay").refused), "the terminal is asked for");
  check(/has no cavity 99/.test(book.read("C2-99").refused), "a cavity that is not there");
  check(/There is no plug or device/.test(book.read("nowhere 5").refused), "an unknown part");
  for (const wire of [...doc.wires, ...doc.plan.flatMap((step) => (step.added ? [step.added] : []))])
    for (const end of [wire.from, wire.to])
      if (end?.at) equal(JSON.stringify(book.read(book.text(end)).end), JSON.stringify(end), `${book.text(end)} is read back`);
});

test("loom model: lengths, sizes and colours as they are typed", async () => {
  const { length_of, length_cell } = await load("model/lengths.ts");
  const { size_of, size_cell } = await load("model/sizes.ts");
  const { colour_of } = await load("model/colour_text.ts");
  for (const [text, unit, mm] of [
    ["1.2 m", "m", 1200],
    ["1,2", "m", 1200],
    ["120 cm", "m", 1200],
    ["120", "cm", 1200],
    ["1200mm", "ft", 1200],
    ["4 ft 2 in", "m", 1270],
    ["4' 2\"", "m", 1270],
    ["4'2", "m", 1270],
    ["50in", "m", 1270],
    ["3", "ft", 914.4],
    ["1 m 20 cm", "m", 1200],
    ["long", "m", null],
    ["-3", "m", null],
    ["4 5", "m", null],
  ])
    equal(length_of(text, unit), mm, `${text} in ${unit}`);
  for (const mm of [150, 1200, 1270, 3048, 6600])
    for (const unit of ["m", "cm"]) equal(length_of(length_cell(mm, unit), unit), mm, `${mm} in ${unit} comes back`);
  equal(length_cell(1270, "ft"), "4 ft 2 in", "feet and inches");
  for (const [text, units, area] of [
    ["0.75", "metric", 0.75],
    ["0,75 mm²", "awg", 0.75],
    ["AWG 20", "metric", 0.518],
    ["20", "awg", 0.518],
    ["20 awg", "metric", 0.518],
    ["2/0", "metric", 67.431],
    ["thick", "metric", null],
  ])
    equal(size_of(text, units), area, `${text} in ${units}`);
  equal(size_cell(0.518, "awg"), "AWG 20", "AWG has its name");
  for (const [text, base, tracer] of [
    ["RD/GN", "RD", "GN"],
    ["rd-gn", "RD", "GN"],
    ["RDGN", "RD", "GN"],
    ["red with green", "RD", "GN"],
    ["GNYE", "GNYE", undefined],
    ["black", "BK", undefined],
  ])
    equal(JSON.stringify(colour_of(text)), JSON.stringify({ base, tracer }), text);
  equal(colour_of("XX"), null, "no colour");
  equal(colour_of("RD/XX"), null, "no tracer");
});

test("loom model: a cell that has a comma, a quote or a line break comes back", async () => {
  const { cells_of, text_of_cells, separator_of } = await load("model/csv.ts");
  const rows = [
    ["a,b", 'say "so"', "two\nlines", ""],
    ['3"', "x;y", " ", "-1"],
  ];
  for (const separator of [",", ";", "\t"])
    equal(JSON.stringify(cells_of(text_of_cells(rows, separator), separator)), JSON.stringify(rows), `with "${separator}"`);
  equal(separator_of("a;b,c\nd;e\n"), ";", "the one that all lines have");
  equal(separator_of('"a;b",c\n"d;e",f'), ",", "not what is inside quotes");
});

async function import_into(name, text, choices = {}) {
  const { read_import, left_over } = await load("model/loom_import.ts");
  const { loom_tables } = await load("stages/loom_tables.tsx");
  const { loom_context } = await load("model/loom_context.ts");
  const doc = demo_document();
  const table = loom_tables[name];
  const context = loom_context(doc, "metric", "m");
  const columns = table.columns(context);
  const all = { meanings: {}, has_head: null, make_missing: true, ...choices };
  const read = read_import(text, table, context, columns, table.rows(doc), all);
  return { doc, read, rest: left_over(text, read), columns, rows: table.rows(doc) };
}

test("loom model: a fuse-box layout becomes fuses and their feeds", async () => {
  const { read, rest } = await import_into("fuses", "F12; 15 A; fog lamps; 15\nF18; 25; main relay feed; 30\nF14; many; horn; 30");
  equal(read.columns.map((one) => one.meaning).join(), "name,rating_a,protects,fed", "what the columns mean without a head");
  equal(read.rows.map((one) => one.verdict).join(), "added,changed,unusable", "what becomes of the rows");
  const fuse = read.after.devices.find((device) => device.id === "F12");
  equal(`${fuse.kind} ${fuse.rating_a} ${fuse.name}`, "fuse 15 F12, fog lamps", "the new fuse");
  const feed = read.after.wires.find((wire) => wire.to?.at === "F12");
  equal(`${feed.from.at} ${feed.guessed}`, "BUS15 true", "its feed, a guess");
  equal(read.after.devices.find((device) => device.id === "F18").rating_a, 25, "a fuse that is there gets its rating");
  equal(rest, "F14; many; horn; 30", "what cannot be used is left to mend");
});

test("loom model: a wire list in another language becomes wires and devices", async () => {
  const lines = [
    "von;nach;Farbe;Querschnitt;Länge (mm);Funktion",
    "C2-31;fog lamp left;RD/GN;0,75;1200;fog lamp left",
    "fog lamp left;earth at the dash;BN;0,75;300;fog lamp left earth",
    "X9-4;horn left;XX;1;20;horn",
    "battery:+;FL1:1;RD;16;350;battery positive",
  ];
  const { doc, read, rest } = await import_into("wires", lines.join("\n"));
  equal(read.rows.map((one) => one.verdict).join(), "added,added,unusable,changed", "what becomes of the rows");
  const lamp = read.after.devices.at(-1);
  equal(`${lamp.name} ${lamp.kind} ${lamp.guessed}`, "fog lamp left lamp true", "the lamp, a guess");
  equal(read.after.devices.length, doc.devices.length + 1, "nothing is made for a row that cannot be used");
  const [feed, earth] = read.after.wires.slice(-2);
  equal(
    `${feed.from.at} ${feed.to.at} ${feed.to.cavity} ${feed.length_mm} ${feed.area_mm2}`,
    `found.C2 ${lamp.id} 1 1200 0.75`,
    "the feed",
  );
  equal(`${earth.from.cavity} ${earth.to.at}`, "2 G2", "the next terminal, and an earth that is there");
  equal(read.after.wires.find((wire) => wire.id === "w_batt_pos").length_mm, 350, "a wire is known by its ends");
  equal(rest, [lines[0], lines[3]].join("\n"), "what cannot be used is left under the head");
  const strict = await import_into("wires", lines.join("\n"), { make_missing: false });
  equal(strict.read.rows.map((one) => one.verdict).join(), "unusable,unusable,unusable,changed", "nothing is made unasked");
});

test("loom model: a table that is exported and imported again changes nothing", async () => {
  const { csv_of } = await load("model/loom_export.ts");
  for (const name of ["wires", "devices", "fuses", "earths", "joints", "plugs", "places", "paths"]) {
    const { columns, rows } = await import_into(name, "x");
    const text = csv_of(columns, rows);
    const { read } = await import_into(name, text);
    const odd = read.rows.find((one) => one.verdict !== "same");
    check(odd === undefined, `${name}: ${JSON.stringify(odd)}`);
    equal(read.rows.length, rows.length, `${name}: every row is there`);
  }
});
