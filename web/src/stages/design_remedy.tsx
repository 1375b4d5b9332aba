// A change that makes a failing check pass, designed again by the program; one tap carries it out.

import type { CircuitDesign, Remedy } from "../api_types";
import { figure } from "../model/units";
import { change_circuit } from "../net/circuits";
import { Mark } from "../parts/mark";
import { bound_text } from "./design_check";

export function RemedyBox({ remedy, circuit }: { remedy: Remedy; circuit: CircuitDesign }) {
  const before = (check: string, subject: string) => circuit.checks.find((one) => one.check === check && one.subject === subject);
  const carry_out = () => void change_circuit(remedy.text, { change: "remedy", remedy: remedy.remedy, subject: remedy.subject });
  return (
    <li class={remedy.passes ? "remedy" : "remedy remedy-fails"}>
      <h3>
        <Mark name={remedy.passes ? "passes" : "fails"} text={remedy.passes ? "would pass" : "would fail"} /> {remedy.text}
      </h3>
      <p class="soft">{remedy.trade_off}</p>
      <ul class="before-after">
        {remedy.after.map((after, index) => {
          const was = before(after.check, after.subject);
          return (
            <li key={index}>
              <Mark name={after.passes ? "passes" : "fails"} bare /> {after.text}: {was ? `${figure(was.value, was.unit)} before, ` : ""}
              <strong>{figure(after.value, after.unit)} after</strong>, {bound_text(after)} {figure(after.limit, after.unit)}
            </li>
          );
        })}
      </ul>
      <div class="buttons no-print">
        <button type="button" class={remedy.passes ? "primary" : ""} onClick={carry_out}>
          Do this
        </button>
      </div>
    </li>
  );
}
