// One check of the design: value, limit and margin as a bar and as text; behind it the formula, inputs and source, and
// whether it is the deciding check.

import { useState } from "preact/hooks";
import type { Check, Graft } from "../api_types";
import { subject_text } from "../model/measured";
import { figure } from "../model/units";
import { Bar } from "../parts/bar";
import { Mark } from "../parts/mark";

// A check that a default value of the part itself decides is neither a pass nor a failure.
export const fails = ({ passes, judged }: Pick<Check, "passes" | "judged">): boolean => !passes && judged;

export const bound_text = ({ bound }: Pick<Check, "bound">): string => (bound === "at_most" ? "at most" : "at least");

export function margin_text({ margin, bound }: Check): string {
  if (margin === null) return "no limit";
  const percent = Math.round(100 * Math.abs(margin));
  if (margin < 0) return `${percent} % ${bound === "at_most" ? "over the limit" : "below the limit"}`;
  if (percent >= 200) return `${Number((1 + margin).toPrecision(2))} times the minimum`;
  return `${percent} % margin`;
}

// How much of the limit is used; 1 is at the limit.
function used(check: Check): number {
  if (check.value === null || check.limit === null) return 0;
  const share = check.bound === "at_most" ? check.value / check.limit : check.limit / check.value;
  return Number.isFinite(share) ? Math.abs(share) : 0;
}

function Inputs({ check }: { check: Check }) {
  if (check.why.inputs.length === 0) return null;
  return (
    <div class="scroll" tabIndex={0} role="region" aria-label="Inputs">
      <table>
        <thead>
          <tr>
            <th scope="col">Input</th>
            <th scope="col">Value</th>
            <th scope="col">Where it comes from</th>
          </tr>
        </thead>
        <tbody>
          {check.why.inputs.map((input, index) => (
            <tr key={index}>
              <th scope="row">{input.name}</th>
              <td>{input.value}</td>
              <td>{input.from}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function WhyPanel({ check }: { check: Check }) {
  return (
    <div class="why">
      <dl>
        <dt>Formula</dt>
        <dd>{check.why.formula || "read from a table"}</dd>
        <dt>Source</dt>
        <dd>{check.why.source || "not stated"}</dd>
        <dt>Worst when</dt>
        <dd>{check.condition || "always"}</dd>
        <dt>Deciding check</dt>
        <dd>
          {check.deciding ? "This one: it sets the size, or has the smallest margin." : "Another one: see the row marked “deciding”."}
        </dd>
      </dl>
      <Inputs check={check} />
    </div>
  );
}

export function CheckName({ doc, check }: { doc: Graft; check: Pick<Check, "text" | "subject"> }) {
  return (
    <>
      {check.text} <span class="soft">{subject_text(doc, check.subject)}</span>
    </>
  );
}

export function CheckRow({ doc, check }: { doc: Graft; check: Check }) {
  const [open, set_open] = useState(false);
  return (
    <li class={fails(check) ? "check check-fails" : "check"}>
      <button type="button" class="check-row" aria-expanded={open} onClick={() => set_open(!open)}>
        <span class="check-mark">
          {check.judged ? <Mark name={check.passes ? "passes" : "fails"} bare={check.passes} /> : <Mark name="unsure" text="not judged" />}
        </span>
        <span class="check-name">
          <CheckName doc={doc} check={check} />
          {check.deciding && (
            <>
              {" "}
              <strong class="deciding">deciding</strong>
            </>
          )}
          {check.assumed && <span class="doubt"> uses assumed values</span>}
        </span>
        <span class="check-figures">
          {figure(check.value, check.unit)} <span class="soft">{bound_text(check)}</span> {figure(check.limit, check.unit)}
        </span>
        <span class="check-margin">
          <Bar share={used(check)} kind={check.passes ? "good" : check.judged ? "bad" : "plain"} />
          <span>{margin_text(check)}</span>
        </span>
        <span class="check-more">why</span>
      </button>
      {open && <WhyPanel check={check} />}
    </li>
  );
}
