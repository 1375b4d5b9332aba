// The circuits with their verdicts, filtered by verdict, each with its reasons. Picking a row highlights its cavity.

import { useEffect, useState } from "preact/hooks";
import { type CavityRef, type Circuit, type CompareReport, type Verdict, verdicts } from "../api_types";
import { donor_module, end_text, found_module, same_cavity } from "../model/document";
import { figure } from "../model/units";
import { doc } from "../net/graft";
import { Bar } from "../parts/bar";
import { Mark, mark_of_grade, mark_text } from "../parts/mark";
import { SameAs } from "./same_circuit";

// The cavity of the vehicle's plugs that a circuit is about: where it is, or where the donor needs it.
export const cavity_of = (circuit: Circuit): CavityRef => circuit.found ?? circuit.donor ?? { connector: "", cavity: "" };

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
          <li key={index}>{reason}</li>
        ))}
      </ul>
      {graft && found && donor && circuit.found && (
        <SameAs graft={graft} pair={{ found, donor }} one={circuit.found} likely={circuit.donor} />
      )}
      <button type="button" class="to-face" onClick={() => document.querySelector(".face")?.scrollIntoView()}>
        Show it in the face
      </button>
      {hazard.meets && (
        <>
          <h3>If the wire stays and the donor is plugged in</h3>
          <p>
            It then connects to <strong>{hazard.meets.signal}</strong> at {end_text(hazard.meets)}. {hazard.reason}
          </p>
          <dl>
            <dt>Current</dt>
            <dd>{figure(hazard.current_a, "A")}</dd>
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

function Row({ circuit, at, pick }: { circuit: Circuit; at: CavityRef; pick: (cavity: CavityRef) => void }) {
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

export function Circuits({ report, at, pick }: { report: CompareReport; at: CavityRef; pick: (cavity: CavityRef) => void }) {
  const [shown, set_shown] = useState<Verdict | "changes" | "all">("changes");
  const list = report.circuits.filter(
    (circuit) => shown === "all" || is_at(circuit, at) || (shown === "changes" ? circuit.verdict !== "keep" : circuit.verdict === shown),
  );
  list.sort((a, b) => verdicts.indexOf(a.verdict) - verdicts.indexOf(b.verdict));
  useEffect(() => {
    // One cavity may have two circuits: the one that is there now, and the one that the donor needs there.
    document.querySelector(".circuit-open")?.scrollIntoView({ block: "nearest" });
  }, [at.connector, at.cavity]);
  const filters: (readonly [Verdict | "changes" | "all", string, number])[] = [
    ["changes", "changes", report.circuits.length - report.summary.keep],
    ...verdicts.map((verdict) => [verdict, mark_text(verdict), report.summary[verdict]] as const),
    ["all", "all", report.circuits.length],
  ];
  return (
    <section class="sheet circuits" id="circuits" tabIndex={-1} aria-label="Circuits">
      <h2>Circuit by circuit</h2>
      <div class="filters no-print" role="group" aria-label="Show circuits">
        {filters.map(([key, text, count]) => (
          <button key={key} type="button" aria-pressed={key === shown} disabled={count === 0} onClick={() => set_shown(key)}>
            {text} {count}
          </button>
        ))}
      </div>
      <ul>
        {list.map((circuit) => (
          <Row key={`${circuit.verdict} ${end_text(cavity_of(circuit))}`} circuit={circuit} at={at} pick={pick} />
        ))}
      </ul>
    </section>
  );
}
