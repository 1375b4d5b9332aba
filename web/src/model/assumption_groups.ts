// Assumed values by the circuit that they take part in: those of added circuits first, then those whose tightest check is
// nearest to its limit. What several circuits share, and what no designed circuit uses, come last.

import type { CircuitDesign, DesignReport, Graft } from "../api_types";
import { find_wire } from "./document";
import { measurable } from "./measured";

export type Assumption = DesignReport["assumptions"][number];

export interface AssumptionGroup {
  key: string;
  title: string;
  note: string; // what they move
  list: Assumption[];
}

function subjects_of(doc: Graft, circuit: CircuitDesign): Set<string> {
  const ends = circuit.wires.flatMap(({ wire }) => {
    const { from, to } = find_wire(doc, wire)?.wire ?? {};
    return [from?.at, to?.at].flatMap((at) => at ?? []);
  });
  return new Set([
    circuit.id,
    ...circuit.wires.map(({ wire }) => wire),
    ...circuit.fuses.map(({ device }) => device),
    ...circuit.checks.map(({ subject }) => subject),
    ...ends,
  ]);
}

interface Tightest {
  margin: number;
  text: string;
}

// Of the checks in which a default value takes part.
function tightest_of({ checks }: CircuitDesign): Tightest | null {
  let found: Tightest | null = null;
  for (const { assumed, margin, text } of checks) {
    if (assumed && margin !== null && (!found || margin < found.margin)) found = { margin, text };
  }
  return found;
}

function note_of(tightest: Tightest | null): string {
  if (!tightest) return "";
  if (tightest.margin < 0) return `fails with assumed values: ${tightest.text}`;
  const percent = Math.round(100 * tightest.margin);
  return percent > 100 ? "no check is close to its limit" : `the closest check has ${percent} % margin: ${tightest.text}`;
}

const is_added = (doc: Graft, { wires }: CircuitDesign): boolean => wires.some(({ wire }) => find_wire(doc, wire)?.added);

// What a person can measure comes first.
const in_order = (doc: Graft, list: Assumption[]): Assumption[] =>
  [...list].sort((a, b) => Number(!measurable(doc, a.subject, a.quantity)) - Number(!measurable(doc, b.subject, b.quantity)));

function circuits_in_order(doc: Graft, report: DesignReport): CircuitDesign[] {
  const margin = (circuit: CircuitDesign) => tightest_of(circuit)?.margin ?? Number.POSITIVE_INFINITY;
  return [...report.circuits].sort((a, b) => Number(is_added(doc, b)) - Number(is_added(doc, a)) || margin(a) - margin(b) || 0);
}

export function assumption_groups(doc: Graft, report: DesignReport): AssumptionGroup[] {
  const circuits = circuits_in_order(doc, report).map((circuit) => ({ circuit, subjects: subjects_of(doc, circuit) }));
  const users = (one: Assumption) => circuits.filter(({ subjects }) => subjects.has(one.subject));
  const used = report.assumptions.map((one) => ({ one, by: users(one) }));
  const own = circuits.map(({ circuit }): AssumptionGroup => {
    const list = used.flatMap(({ one, by }) => (by.length === 1 && by[0]?.circuit === circuit ? [one] : []));
    return { key: circuit.id, title: circuit.name, note: note_of(tightest_of(circuit)), list };
  });
  const shared = used.filter(({ by }) => by.length > 1).map(({ one }) => one);
  const elsewhere = used.filter(({ by }) => by.length === 0).map(({ one }) => one);
  const others: AssumptionGroup[] = [
    { key: "+shared", title: "Shared by several circuits", note: "each moves the checks of all of them", list: shared },
    { key: "+elsewhere", title: "Elsewhere in the loom", note: "in no circuit that the plan changes", list: elsewhere },
  ];
  return [...own, ...others].filter(({ list }) => list.length > 0).map((group) => ({ ...group, list: in_order(doc, group.list) }));
}
