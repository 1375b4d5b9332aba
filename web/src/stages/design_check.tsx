// One figure of the design: value, limit and margin as a bar and in words; behind it the why: formula, inputs,
// source, and whether it is this limit that binds.

import { useState } from "preact/hooks";
import type { Check, Graft } from "../api_types";
import { check_words } from "../model/measured";
import { Bar } from "../parts/bar";
import { Mark } from "../parts/mark";
import { figure } from "./compare_hazards";

export function margin_words(check: Check): string {
  if (check.margin === null) return "no limit";
  const share = Math.round(100 * Math.abs(check.margin));
  if (share >= 200 && check.margin > 0) return `${Number((1 + check.margin).toPrecision(2))} times the least`;
  if (check.margin < 0) return `${share} % ${check.bound === "at_most" ? "over" : "short"}`;
  return `${share} % in hand`;
}

// How much of the limit is used, where full is the limit.
function used(check: Check): number {
  if (check.value === null || check.limit === null) return 0;
  const share = check.bound === "at_most" ? check.value / check.limit : check.limit / check.value;
  return Number.isFinite(share) ? Math.abs(share) : 0;
}

export function WhyPanel({ check }: { check: Check }) {
  return (
    <div class="why">
      <dl>
        <dt>Formula</dt>
        <dd>{check.why.formula || "read off a table"}</dd>
        <dt>Source</dt>
        <dd>{check.why.source || "not stated"}</dd>
        <dt>Worst when</dt>
        <dd>{check.condition || "always"}</dd>
        <dt>Limit that binds</dt>
        <dd>{check.binds ? "this one: it set the size, or holds least" : "another one; see the row marked “binds”"}</dd>
      </dl>
      {check.why.inputs.length > 0 && (
        <div class="scroll" tabIndex={0} role="region" aria-label="What it was worked out from">
          <table>
            <thead>
              <tr>
                <th scope="col">From</th>
                <th scope="col">Value</th>
                <th scope="col">Where that comes from</th>
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
      )}
    </div>
  );
}

export function CheckName({ doc, check }: { doc: Graft; check: Pick<Check, "words" | "subject"> }) {
  const { words, of } = check_words(doc, check);
  return (
    <>
      {words} <span class="soft">{of}</span>
    </>
  );
}

export function CheckRow({ doc, check }: { doc: Graft; check: Check }) {
  const [open, set_open] = useState(false);
  return (
    <li class={check.holds ? "check" : "check check-fails"}>
      <button type="button" class="check-row" aria-expanded={open} onClick={() => set_open(!open)}>
        <span class="check-mark">
          <Mark name={check.holds ? "holds" : "fails"} bare={check.holds} />
        </span>
        <span class="check-words">
          <CheckName doc={doc} check={check} />
          {check.binds && (
            <>
              {" "}
              <strong class="binds">binds</strong>
            </>
          )}
          {check.assumed && <span class="doubt"> something is assumed</span>}
        </span>
        <span class="check-figures">
          {figure(check.value, check.unit)} <span class="soft">{check.bound === "at_most" ? "at most" : "at least"}</span>{" "}
          {figure(check.limit, check.unit)}
        </span>
        <span class="check-margin">
          <Bar share={used(check)} kind={check.holds ? "good" : "bad"} />
          <span>{margin_words(check)}</span>
        </span>
        <span class="check-more">why</span>
      </button>
      {open && <WhyPanel check={check} />}
    </li>
  );
}
