// The circuits with their verdicts, filtered by verdict, each with its reasons. Picking a row highlights its cavity.

import { useEffect, useRef, useState } from "preact/hooks";
import { type CavityRef, type Circuit, type CompareReport, type Verdict, verdicts } from "../api_types";
import { donor_module, end_text, found_module, same_cavity, without_folders } from "../model/document";
import { figure } from "../model/units";
import { doc } from "../net/graft";
import { Bar } from "../parts/bar";
import { Help } from "../parts/help";
import { Mark, mark_of_grade, mark_text } from "../parts/mark";
import { black_ink } from "../parts/print";
import { ShowAll, use_shortened } from "../parts/shortened";
import { narrow } from "./compare_face";
import { SameAs } from "./same_circuit";

// The cavity of the vehicle's plugs that a circuit is about: where it is, or where the donor needs it.
export const cavity_of = (circuit: Circuit): CavityRef => circuit.found ?? circuit.donor ?? { connector: "", cavity: "" };

export const key_of = (circuit: Circuit): string => `${circuit.verdict} ${end_text(cavity_of(circuit))}`;

// A report counts currents into the pin; a person reads a direction, not a sign.
export function current_text(current_a: number | null): string {
  if (current_a === null) return "no limit";
  const text = figure(Math.abs(current_a), "A");
  if (text === "0 A") return text;
  return current_a < 0 ? `${text} out of the module` : `${text} into the module`;
}

export const is_at = (circuit: Circuit, at: CavityRef): boolean => same_cavity(cavity_of(circuit), at);

function Why({ circuit }: { circuit: Circuit }) {
  const { hazard } = circuit;
  const graft = doc.value;
  const found = graft && found_module(graft);
  const donor = graft && donor_module(graft);
  return (
    <div class="why">
      <dl>
        <dt>Vehicle</dt>
        <dd>{circuit.found ? `${end_text(circuit.found)} ${circuit.found.signal}` : "not there"}</dd>
        <dt>Donor</dt>
        <dd>{circuit.donor ? `${end_text(circuit.donor)} ${circuit.donor.signal}` : "does not use it"}</dd>
        <dt>How sure</dt>
        <dd class="how-sure">
          {Math.round(100 * circuit.confidence)} % <Bar share={circuit.confidence} />
        </dd>
      </dl>
      <h3>Why this verdict</h3>
      <ul>
        {circuit.why.map((reason, index) => (
          <li key={index}>{graft ? without_folders(graft, reason) : reason}</li>
        ))}
      </ul>
      {graft && found && donor && circuit.found && (
        <SameAs graft={graft} pair={{ found, donor }} one={circuit.found} likely={circuit.donor} />
      )}
      {hazard.meets && (
        <>
          <h3>If the wire stays and the donor is plugged in</h3>
          <p>
            It then connects to <strong>{hazard.meets.signal}</strong> at {end_text(hazard.meets)}. {hazard.reason}
          </p>
          <dl>
            <dt>Current</dt>
            <dd>{current_text(hazard.current_a)}</dd>
            <dt>Voltage</dt>
            <dd>{figure(hazard.voltage_v, "V")}</dd>
            <dt>Limit</dt>
            <dd>{hazard.limit || "none reached"}</dd>
            <dt>Worst case</dt>
            <dd>
              loom: {hazard.loom_state || "any"}; pin: {hazard.pin_state || "any"}
            </dd>
          </dl>
          {hazard.assumed && <p class="doubt">The type of one of them is not known, so the worst case is assumed.</p>}
        </>
      )}
    </div>
  );
}

export function CircuitRow({ circuit, at, pick }: { circuit: Circuit; at: CavityRef; pick: (cavity: CavityRef) => void }) {
  const cavity = cavity_of(circuit);
  const open = same_cavity(cavity, at);
  const grade = mark_of_grade(circuit.hazard.grade);
  return (
    <li
      id={`circuit-${circuit.verdict}-${end_text(cavity)}`}
      class={open ? "circuit circuit-open" : "circuit"}
      data-decided={circuit.decided}
    >
      <button type="button" class="circuit-row" aria-expanded={open} onClick={() => pick(cavity)}>
        <span class="circuit-verdict">
          <Mark name={circuit.verdict} />
        </span>
        <span class="circuit-end">
          {circuit.found ? end_text(circuit.found) : "new"}
          {circuit.donor && circuit.verdict !== "keep" && ` → ${end_text(circuit.donor)}`}
        </span>
        <span class="circuit-signal">{circuit.signal}</span>
        <span class="circuit-hazard">{grade !== "none" && <Mark name={grade} />}</span>
      </button>
      {open && <Why circuit={circuit} />}
    </li>
  );
}

type Filter = Verdict | "changes" | "all";

function filters_of(report: CompareReport): (readonly [Filter, string, number])[] {
  const changes = report.circuits.length - report.summary.keep;
  const all: (readonly [Filter, string, number])[] = [
    ["changes", "changes", changes],
    ...verdicts.map((verdict) => [verdict, mark_text(verdict), report.summary[verdict]] as const),
    ["all", "all", report.circuits.length],
  ];
  return all.filter(([key, , count]) => count > 0 || key === "changes");
}

const shown_at_first = 10;
const shown_beside_open = 4;

export function Circuits({ report, at, pick }: { report: CompareReport; at: CavityRef; pick: (cavity: CavityRef) => void }) {
  const [chosen, set_shown] = useState<Filter>("changes");
  // On paper nothing is left out because of a filter of the screen.
  const shown = black_ink.value && chosen !== "all" ? "changes" : chosen;
  const all = report.circuits.filter(
    (circuit) => shown === "all" || is_at(circuit, at) || (shown === "changes" ? circuit.verdict !== "keep" : circuit.verdict === shown),
  );
  all.sort((a, b) => verdicts.indexOf(a.verdict) - verdicts.indexOf(b.verdict));
  // On a phone an open circuit is long enough by itself.
  const list = use_shortened(all, at.connector && narrow() ? shown_beside_open : shown_at_first, (circuit) => is_at(circuit, at));
  const section = useRef<HTMLElement>(null);
  useEffect(() => {
    // One cavity may have two circuits: the one that is there now, and the one that the donor needs there.
    section.current?.querySelector(".circuit-open")?.scrollIntoView({ block: "nearest" });
  }, [at.connector, at.cavity]);
  return (
    <section class="sheet circuits" id="circuits" ref={section} aria-label="Circuits">
      <div class="head-help">
        <h2>Circuit by circuit</h2>
        <Help word="verdict" />
      </div>
      <div class="filters no-print" role="group" aria-label="Show circuits">
        {filters_of(report).map(([key, text, count]) => (
          <button key={key} type="button" aria-pressed={key === shown} onClick={() => set_shown(key)}>
            {text} {count}
          </button>
        ))}
      </div>
      <ul>
        {list.shown.map((circuit) => (
          <CircuitRow key={key_of(circuit)} circuit={circuit} at={at} pick={pick} />
        ))}
      </ul>
      <ShowAll rest={list.rest} show_all={list.show_all} count={all.length} />
    </section>
  );
}
