// The circuits with their verdicts: filtered by verdict, each with its why. A row picked lights its cavity.

import { useEffect, useState } from "preact/hooks";
import { verdicts, type CavityRef, type Circuit, type CompareReport, type Verdict } from "../api_types";
import { donor_module, found_module } from "../model/document";
import { doc } from "../net/graft";
import { Bar } from "../parts/bar";
import { Mark, mark_of_grade, word_of } from "../parts/mark";
import { cavity_of } from "./compare";
import { figure } from "./compare_hazards";
import { SameAs } from "./same_circuit";

export const place_words = (at: CavityRef): string => (at.connector ? `${at.connector}-${at.cavity}` : at.cavity);

function Why({ circuit }: { circuit: Circuit }) {
  const { hazard } = circuit;
  const graft = doc.value;
  const found = graft && found_module(graft);
  const donor = graft && donor_module(graft);
  return (
    <div class="why">
      <dl>
        <dt>Vehicle</dt>
        <dd>{circuit.found ? `${place_words(circuit.found)} ${circuit.found.signal}` : "nothing there"}</dd>
        <dt>Donor</dt>
        <dd>{circuit.donor ? `${place_words(circuit.donor)} ${circuit.donor.signal}` : "has no use for it"}</dd>
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
        Show it in the plug
      </button>
      {hazard.meets && (
        <>
          <h3>If the wire stays and the donor is plugged in</h3>
          <p>
            It meets <strong>{hazard.meets.signal}</strong> at {place_words(hazard.meets)}. {hazard.reason}
          </p>
          <dl>
            <dt>Current</dt>
            <dd>{figure(hazard.current_a, "A")}</dd>
            <dt>Voltage</dt>
            <dd>{figure(hazard.voltage_v, "V")}</dd>
            <dt>Limit that binds</dt>
            <dd>{hazard.limit || "none is reached"}</dd>
            <dt>Worst states</dt>
            <dd>
              loom: {hazard.loom_state || "any"}; pin: {hazard.pin_state || "any"}
            </dd>
          </dl>
          {hazard.assumed && <p class="doubt">The kind of one of them is not known: the worst is assumed.</p>}
        </>
      )}
    </div>
  );
}

function Row({ circuit, at, pick }: { circuit: Circuit; at: string; pick: (place: string) => void }) {
  const place = cavity_of(circuit);
  const open = place === at;
  const grade = mark_of_grade(circuit.hazard.grade);
  return (
    <li id={`circuit-${circuit.verdict}-${place}`} class={open ? "circuit circuit-open" : "circuit"}>
      <button type="button" class="circuit-row" aria-expanded={open} onClick={() => pick(place)}>
        <span class="circuit-verdict">
          <Mark name={circuit.verdict} />
        </span>
        <span class="circuit-place">
          {circuit.found ? place_words(circuit.found) : "new"}
          {circuit.donor && circuit.verdict !== "keep" && ` → ${place_words(circuit.donor)}`}
        </span>
        <span class="circuit-signal">{circuit.signal}</span>
        <span class="circuit-hazard">{grade !== "none" && <Mark name={grade} />}</span>
      </button>
      {open && <Why circuit={circuit} />}
    </li>
  );
}

export function Circuits({ report, at, pick }: { report: CompareReport; at: string; pick: (place: string) => void }) {
  const [shown, set_shown] = useState<Verdict | "changes" | "all">("changes");
  const list = report.circuits.filter(
    (circuit) => shown === "all" || cavity_of(circuit) === at || (shown === "changes" ? circuit.verdict !== "keep" : circuit.verdict === shown),
  );
  list.sort((a, b) => verdicts.indexOf(a.verdict) - verdicts.indexOf(b.verdict));
  useEffect(() => {
    // One cavity may hold two circuits: the one that is there, and the one that the donor wants there.
    if (at) document.querySelector(".circuit-open")?.scrollIntoView({ block: "nearest" });
  }, [at]);
  const filters: (readonly [Verdict | "changes" | "all", string, number])[] = [
    ["changes", "what changes", report.circuits.length - report.summary.keep],
    ...verdicts.map((verdict) => [verdict, word_of(verdict), report.summary[verdict]] as const),
    ["all", "all", report.circuits.length],
  ];
  return (
    <section class="sheet circuits" id="circuits" tabIndex={-1} aria-label="Circuits">
      <h2>Circuit by circuit</h2>
      <div class="filters no-print" role="group" aria-label="Show circuits">
        {filters.map(([key, words, count]) => (
          <button key={key} type="button" aria-pressed={key === shown} disabled={count === 0} onClick={() => set_shown(key)}>
            {words} {count}
          </button>
        ))}
      </div>
      <ul>
        {list.map((circuit) => (
          <Row key={`${circuit.verdict} ${cavity_of(circuit)}`} circuit={circuit} at={at} pick={pick} />
        ))}
      </ul>
    </section>
  );
}
