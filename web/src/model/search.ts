// Search over everything in a job: pins by cavity or signal, wires, devices, modules, steps of the test plan.

import type { CompareReport, Graft, Module, ProveReport, Wire } from "../api_types";
import type { Stage } from "../route";
import { all_wires, colour_letters, connector_name, end_text, module_name, part_name } from "./document";
import { class_text } from "./pin_classes";
import { sentence, step_key } from "./proof";

export interface Hit {
  key: string;
  name: string;
  detail: string;
  stage: Stage;
  query: Record<string, string>;
}

export interface HitGroup {
  title: string;
  hits: Hit[]; // the best first
  count: number; // how many there are in all
}

interface Entry {
  hit: Hit;
  cavity: string; // "c231": a cavity as it is written without hyphen and blank
  name: string;
  text: string; // everything to look in
}

const shown_of_each = 8;

const lower = (text: string) => text.normalize("NFKD").toLowerCase();
const bare = (text: string) => lower(text).replace(/[^\p{L}\p{N}]+/gu, "");

function entry(hit: Hit, more: readonly (string | undefined)[], cavity = ""): Entry {
  return { hit, cavity: bare(cavity), name: lower(hit.name), text: lower([hit.name, hit.detail, ...more].filter(Boolean).join(" ")) };
}

// Smaller is better; null: it does not match.
function rank(one: Entry, wanted: string, words: readonly string[]): number | null {
  const compact = bare(wanted);
  if (one.cavity && one.cavity === compact) return 0;
  if (one.cavity && compact.length > 1 && one.cavity.startsWith(compact)) return 2;
  if (!words.every((word) => one.text.includes(word))) return null;
  if (one.name === wanted) return 1;
  if (one.name.startsWith(wanted)) return 3;
  return words.every((word) => one.name.includes(word)) ? 4 : 5;
}

function best(title: string, entries: readonly Entry[], wanted: string, words: readonly string[]): HitGroup {
  const found = entries
    .flatMap((one) => {
      const points = rank(one, wanted, words);
      return points === null ? [] : [{ points, hit: one.hit }];
    })
    .sort((a, b) => a.points - b.points);
  return { title, hits: found.slice(0, shown_of_each).map(({ hit }) => hit), count: found.length };
}

// Where the comparison shows a pin of a module: a donor's pin is shown with the circuit that it belongs to.
function pin_query(module: Module, connector: string, cavity: string, compare: CompareReport | null): Record<string, string> | null {
  if (module.role === "found") return { plug: connector, cavity };
  const circuit = compare?.circuits.find(({ donor }) => donor?.connector === connector && donor.cavity === cavity);
  const at = circuit?.found ?? circuit?.donor;
  return at ? { plug: at.connector, cavity: at.cavity } : null;
}

function pin_entries(doc: Graft, compare: CompareReport | null): Entry[] {
  const names = new Map((doc.connectors ?? []).map((plug) => [plug.id, connector_name(plug)]));
  return (doc.modules ?? []).flatMap((module) =>
    (module.pins ?? []).map((pin) => {
      const connector = names.get(pin.connector) ?? pin.connector;
      const at = end_text({ connector, cavity: pin.cavity });
      const query = compare ? pin_query(module, connector, pin.cavity, compare) : null;
      const hit: Hit = {
        key: `pin ${module.id} ${pin.connector} ${pin.cavity}`,
        name: `${at} ${pin.signal ?? ""}`.trim(),
        detail: [module_name(module), colour_letters(pin.colour), pin.class === "unknown" ? "" : class_text(pin.class)]
          .filter(Boolean)
          .join(" · "),
        stage: query ? "compare" : "gather",
        query: query ?? {},
      };
      return entry(hit, [pin.term, pin.far_end, pin.note, ...(pin.claims ?? []).map((claim) => claim.signal)], at);
    }),
  );
}

function ends_text(doc: Graft, { from, to }: Wire): string {
  const end = (at: Wire["from"]) => (at?.at ? `${part_name(doc, at.at)} ${at.cavity ?? ""}`.trim() : "open");
  return `${end(from)} to ${end(to)}`;
}

function wire_entries(doc: Graft): Entry[] {
  const added = new Set((doc.plan ?? []).flatMap((step) => (step.added ? [step.added.id] : [])));
  return all_wires(doc).map((wire) => {
    const is_new = added.has(wire.id);
    const hit: Hit = {
      key: `wire ${wire.id}`,
      name: wire.signal || wire.id,
      detail: [is_new ? "added" : "", colour_letters(wire.colour), ends_text(doc, wire)].filter(Boolean).join(" · "),
      stage: is_new ? "circuits" : "diagram",
      query: is_new ? { wire: wire.id } : { at: wire.id, show: "planned" },
    };
    return entry(hit, [wire.id]);
  });
}

function device_entries(doc: Graft): Entry[] {
  const places = new Map((doc.places ?? []).map((place) => [place.id, place.name || place.id]));
  return (doc.devices ?? []).map((device) => {
    const hit: Hit = {
      key: `device ${device.id}`,
      name: device.name || device.id,
      detail: [device.name ? device.id : "", device.kind?.replace(/_/g, " "), places.get(device.place ?? "")].filter(Boolean).join(" · "),
      stage: "diagram",
      query: { at: device.id, show: "planned" },
    };
    return entry(hit, [device.model], device.id);
  });
}

function module_entries(doc: Graft): Entry[] {
  return (doc.modules ?? []).map((module) => {
    const role = { found: "the vehicle's own", donor: "the donor", other: "a candidate" }[module.role ?? "other"];
    const hit: Hit = { key: `module ${module.id}`, name: module_name(module), detail: role, stage: "gather", query: {} };
    return entry(hit, Object.values(module.tags ?? {}));
  });
}

function test_entries(report: ProveReport | null): Entry[] {
  const number = new Map((report?.plan ?? []).map((id, index) => [id, index + 1]));
  return (report?.tests ?? []).flatMap((test) => {
    const step = number.get(test.id);
    if (step === undefined) return [];
    const hit: Hit = {
      key: `test ${test.id}`,
      name: `Step ${step}`,
      detail: sentence(test.text),
      stage: "prove",
      query: { step: step_key({ kind: "test", id: test.id }) },
    };
    return [entry(hit, [test.red_at.text, test.black_at.text])];
  });
}

export interface Searched {
  doc: Graft;
  compare: CompareReport | null;
  prove: ProveReport | null;
}

export function search(text: string, { doc, compare, prove }: Searched): HitGroup[] {
  const wanted = lower(text.trim());
  const words = wanted.split(/\s+/).filter(Boolean);
  if (words.length === 0) return [];
  const groups: readonly (readonly [string, Entry[]])[] = [
    ["Pins", pin_entries(doc, compare)],
    ["Wires", wire_entries(doc)],
    ["Devices", device_entries(doc)],
    ["Modules", module_entries(doc)],
    ["Steps of the test plan", test_entries(prove)],
  ];
  return groups.map(([title, entries]) => best(title, entries, wanted, words)).filter((group) => group.count > 0);
}
