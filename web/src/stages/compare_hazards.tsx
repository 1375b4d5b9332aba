// What would burn, break or give a false signal if the donor were plugged into the loom as found, the worst first.

import type { CavityRef, Circuit, CompareReport, Grade } from "../api_types";
import { end_text, same_cavity } from "../model/document";
import { figure } from "../model/units";
import { Mark, mark_text } from "../parts/mark";
import { cavity_of } from "./compare_circuits";

const order: Grade[] = ["fire", "damage", "false_signal"];

function Hazard({ circuit, pick, at }: { circuit: Circuit; pick: (cavity: CavityRef) => void; at: CavityRef }) {
  const { hazard } = circuit;
  const cavity = cavity_of(circuit);
  // A false signal comes from its voltage. Its current is microamperes, which would look harmless.
  const details = [
    ...(hazard.grade === "false_signal" ? [] : [figure(hazard.current_a, "A")]),
    ...(hazard.limit ? [`limit: ${hazard.limit}`] : []),
    ...(hazard.assumed ? ["some values are assumed"] : []),
  ];
  return (
    <li>
      <button type="button" class="hazard" aria-pressed={same_cavity(cavity, at)} onClick={() => pick(cavity)}>
        <span class="hazard-head">
          {hazard.grade !== "harmless" && <Mark name={hazard.grade} />}
          <strong>
            {circuit.found && end_text(circuit.found)} {circuit.signal}
          </strong>
        </span>
        <span>{hazard.reason}</span>
        <span class="soft">{details.join(" · ")}</span>
      </button>
    </li>
  );
}

export function Hazards({ report, pick, at }: { report: CompareReport; pick: (cavity: CavityRef) => void; at: CavityRef }) {
  const list = report.circuits.filter((circuit) => circuit.hazard.grade !== "harmless");
  list.sort((a, b) => order.indexOf(a.hazard.grade) - order.indexOf(b.hazard.grade));
  if (list.length === 0) {
    return (
      <section class="sheet">
        <h2>
          <Mark name="passes" text="No hazard" /> if the donor were plugged in as it is
        </h2>
      </section>
    );
  }
  const counts = order.flatMap((grade) => {
    const count = list.filter((circuit) => circuit.hazard.grade === grade).length;
    return count > 0 ? [`${count} × ${mark_text(grade === "harmless" ? "none" : grade)}`] : [];
  });
  return (
    <section class="sheet hazards" id="hazards" tabIndex={-1} aria-label="Hazards">
      <h2>Do not plug the donor in yet: {counts.join(", ")}</h2>
      <ul>
        {list.map((circuit, index) => (
          <Hazard key={index} circuit={circuit} pick={pick} at={at} />
        ))}
      </ul>
    </section>
  );
}
