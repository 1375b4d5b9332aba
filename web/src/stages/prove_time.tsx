// What the plan buys: the time at hand beside the curve, what is proved so far, and what stays unproved.

import type { ProveReport } from "../api_types";
import { after_all, percent, proved_so_far, within } from "../model/plan_time";
import { sentence } from "../model/proof";
import type { MarkedReading } from "../model/reading";
import { PlanCurve } from "./prove_curve";

const first_steps = 10;
const reasons_shown = 3;

function Buys({ report }: { report: ProveReport }) {
  const all = after_all(report);
  const soon = report.curve[Math.min(first_steps, report.curve.length - 1)];
  const harmful = report.faults.some((fault) => fault.harm === "damage" || fault.harm === "fire");
  return (
    <p data-buys>
      {Math.round(all.minutes)} minutes in all, ways between places included.{" "}
      {harmful && soon && (
        <>
          After the first {Math.min(first_steps, report.plan.length)} steps, {percent(1 - soon.harmful)} of what could burn or break
          something is excluded.{" "}
        </>
      )}
      {all.unproved > 0
        ? `${percent(all.unproved)} of the odds of a mistake stays unproved.`
        : "Nothing that was looked for stays unproved."}
    </p>
  );
}

// The worst of what no test shows, and why.
function Stays({ report }: { report: ProveReport }) {
  const order = ["fire", "damage", "false_signal", "none"];
  const worst = [...report.unexposed].sort((one, other) => order.indexOf(one.harm) - order.indexOf(other.harm));
  if (worst.length === 0) return null;
  return (
    <>
      <p>What stays unproved, the worst first:</p>
      <ul class="reasons">
        {worst.slice(0, reasons_shown).map((one) => (
          <li key={one.fault}>
            {sentence(one.text)}. <span class="soft">{one.why}</span>
          </li>
        ))}
        {worst.length > reasons_shown && <li>{worst.length - reasons_shown} more, listed below the plan.</li>}
      </ul>
    </>
  );
}

interface Props {
  report: ProveReport;
  latest: ReadonlyMap<string, MarkedReading>;
  minutes: number;
  set_minutes: (minutes: number) => void;
}

export function PlanTime({ report, latest, minutes, set_minutes }: Props) {
  if (report.curve.length < 2) return null;
  const most = Math.ceil(after_all(report).minutes);
  const here = within(report, minutes);
  const so_far = proved_so_far(report, latest);
  const fits = here.steps === 0 ? "No step fits" : here.steps === report.plan.length ? "Every step fits" : `Steps 1 to ${here.steps} fit`;
  return (
    <section class="sheet stack plan-time" aria-label="What the plan buys">
      <h2>What the plan buys</h2>
      <Buys report={report} />
      <PlanCurve report={report} minutes={minutes} />
      <p class="soft curve-key">
        Minutes. <span class="key-all">Solid:</span> odds of a mistake still unseen. <span class="key-harmful">Dashed:</span> of what could
        burn or break something.
      </p>
      <label class="time-at-hand no-print">
        <span>
          Time at hand: <strong>{Math.round(minutes)} minutes</strong>
        </span>
        <input
          type="range"
          min={0}
          max={most}
          step={1}
          value={Math.round(minutes)}
          aria-valuetext={`${Math.round(minutes)} minutes: ${fits.toLowerCase()}, ${percent(here.unproved)} unseen`}
          onInput={(event) => set_minutes(Number(event.currentTarget.value))}
        />
      </label>
      <p class="no-print" data-fits={here.steps}>
        {fits}. {percent(here.unproved)} of the odds of a mistake is then still unseen, and {percent(here.harmful)} of what could burn or
        break something. {here.worst_text}
      </p>
      {so_far.steps > 0 && (
        <p data-so-far={so_far.steps}>
          <strong>So far</strong> {so_far.steps} of {report.plan.length} steps are in band: {percent(so_far.unproved)} is still unseen.{" "}
          {so_far.worst_text}
        </p>
      )}
      <Stays report={report} />
    </section>
  );
}
