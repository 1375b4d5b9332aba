// What would burn, break or give a false signal if the donor were plugged into the loom as found, the worst first.

import type { CavityRef, Circuit, CompareReport, Grade } from "../api_types";
import { end_text, same_cavity } from "../model/document";
import { Help } from "../parts/help";
import { Mark, mark_text } from "../parts/mark";
import { ShowAll, use_shortened } from "../parts/shortened";
import { cavity_of, current_text } from "./compare_circuits";
import { narrow } from "./compare_face";

const order: Grade[] = ["fire", "injury", "damage", "false_signal"];

const rank_of = (grade: Grade): number => (grade === "harmless" ? order.length : order.indexOf(grade));

// The worse of what happens at the donor's pin and of what the vehicle loses with the wire.
export function grade_of({ hazard, loss }: Circuit): Grade {
  return loss && rank_of(loss.grade) < rank_of(hazard.grade) ? loss.grade : hazard.grade;
}

export function hazardous(report: CompareReport): Circuit[] {
  const list = report.circuits.filter((circuit) => grade_of(circuit) !== "harmless");
  return list.sort((a, b) => rank_of(grade_of(a)) - rank_of(grade_of(b)));
}

interface Props {
  report: CompareReport;
  at: CavityRef;
  pick: (cavity: CavityRef, view?: "circuits") => void;
}

function details_of({ hazard }: Circuit): string {
  // A false signal comes from its voltage. Its current is microamperes, which would look harmless.
  if (hazard.grade === "harmless") return "";
  const details = [
    ...(hazard.grade === "false_signal" ? [] : [current_text(hazard.current_a)]),
    ...(hazard.limit ? [`limit: ${hazard.limit}`] : []),
    ...(hazard.assumed ? ["some values are assumed"] : []),
  ];
  return details.join(" · ");
}

function Hazard({ circuit, pick, at }: { circuit: Circuit } & Pick<Props, "at" | "pick">) {
  const { hazard, loss } = circuit;
  const grade = grade_of(circuit);
  const cavity = cavity_of(circuit);
  const chosen = same_cavity(cavity, at);
  const details = details_of(circuit);
  return (
    <li class={`hazard-item hazard-${grade}`}>
      <button type="button" class="hazard" aria-pressed={chosen} onClick={() => pick(cavity)}>
        <span class="hazard-head">
          {grade !== "harmless" && <Mark name={grade} />}
          <strong>
            {circuit.found && end_text(circuit.found)} {circuit.signal}
          </strong>
        </span>
        {hazard.grade !== "harmless" && <span>{hazard.reason}</span>}
        {loss && <span>{loss.reason}</span>}
        {details && (chosen || !narrow()) && <span class="soft">{details}</span>}
      </button>
    </li>
  );
}

const severe = (circuit: Circuit): boolean => grade_of(circuit) !== "false_signal";

const shown_at_first = 5;

function count_text(list: readonly Circuit[]): string {
  const counts = order.flatMap((grade) => {
    const count = list.filter((circuit) => grade_of(circuit) === grade).length;
    return count > 0 ? [`${count} × ${mark_text(grade === "harmless" ? "none" : grade)}`] : [];
  });
  return counts.join(", ");
}

export function Hazards({ report, pick, at }: Props) {
  const list = hazardous(report);
  const chosen = list.find((circuit) => same_cavity(cavity_of(circuit), at));
  const { shown, rest, show_all } = use_shortened(list, shown_at_first, (circuit) => severe(circuit) || circuit === chosen);
  if (list.length === 0) {
    return (
      <section class="sheet" id="hazards" aria-label="Hazards">
        <h2>
          <Mark name="passes" text="No hazard" /> if the donor were plugged in as it is
        </h2>
      </section>
    );
  }
  return (
    <section class="sheet hazards" id="hazards" aria-label="Hazards">
      <div class="head-help">
        <h2>Do not plug the donor in yet: {count_text(list)}</h2>
        <Help word="hazard" />
      </div>
      <ul>
        {shown.map((circuit, index) => (
          <Hazard key={index} circuit={circuit} pick={pick} at={at} />
        ))}
      </ul>
      <ShowAll rest={rest} show_all={show_all} count={list.length} />
    </section>
  );
}
