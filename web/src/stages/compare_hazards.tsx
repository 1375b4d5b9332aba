// What would burn, break or lie if the donor were plugged in as the loom is: the worst first.

import type { Circuit, CompareReport, Grade } from "../api_types";
import { with_signs } from "../model/signs";
import { Mark, word_of } from "../parts/mark";
import { place_words } from "./compare_circuits";

const order: Grade[] = ["fire", "damage", "false_signal"];

const unit_signs: Record<string, string> = { mm2: "mm²", C: "°C", ohm: "Ω", mohm: "mΩ" };

export function figure(value: number | null, unit: string): string {
  if (value === null) return `no limit in ${unit}`;
  const size = Math.abs(value);
  const digits = size === 0 ? 0 : size >= 100 ? 0 : size >= 10 ? 1 : size >= 1 ? 2 : 3;
  return `${Number(value.toFixed(digits))} ${unit_signs[unit] ?? unit}`;
}

function Hazard({ circuit, pick, at }: { circuit: Circuit; pick: (place: string) => void; at: string }) {
  const { hazard } = circuit;
  const place = circuit.found ? place_words(circuit.found) : "";
  const key = circuit.found ? place : circuit.donor ? place_words(circuit.donor) : "";
  // What misleads does so by its volts: its microamperes would only be read as harmless.
  const beside = [
    ...(hazard.grade === "false_signal" ? [] : [figure(hazard.current_a, "A")]),
    ...(hazard.limit ? [`limit: ${with_signs(hazard.limit)}`] : []),
    ...(hazard.assumed ? ["something is assumed here"] : []),
  ];
  return (
    <li>
      <button type="button" class="hazard" aria-pressed={key === at} onClick={() => pick(key)}>
        <span class="hazard-head">
          {hazard.grade !== "harmless" && <Mark name={hazard.grade} />}
          <strong>
            {place} {circuit.signal}
          </strong>
        </span>
        <span>{with_signs(hazard.reason)}</span>
        <span class="soft">{beside.join(" · ")}</span>
      </button>
    </li>
  );
}

export function Hazards({ report, pick, at }: { report: CompareReport; pick: (place: string) => void; at: string }) {
  const list = report.circuits.filter((circuit) => circuit.hazard.grade !== "harmless");
  list.sort((a, b) => order.indexOf(a.hazard.grade) - order.indexOf(b.hazard.grade));
  if (list.length === 0) {
    return (
      <section class="sheet">
        <h2>
          <Mark name="holds" word="Nothing" /> would burn or lie if the donor were plugged in as it is
        </h2>
      </section>
    );
  }
  const counts = order.flatMap((grade) => {
    const count = list.filter((circuit) => circuit.hazard.grade === grade).length;
    return count > 0 ? [`${count} × ${word_of(grade === "harmless" ? "none" : grade)}`] : [];
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
