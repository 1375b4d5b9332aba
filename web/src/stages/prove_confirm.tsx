// What could do harm and no measurement rules out: a person looks at each before the battery is joined.

import type { OpenHazard, ProveReport } from "../api_types";
import { sentence } from "../model/proof";
import { set_tick } from "../net/ticks";
import { Mark } from "../parts/mark";
import { route, route_to, type Stage } from "../route";

const stage_of: Record<OpenHazard["source"], Stage> = { fault: "prove", restraint: "gather", design: "design", comparison: "compare" };

export const unconfirmed = (report: ProveReport, ticks: ReadonlySet<string>): OpenHazard[] =>
  report.to_confirm.filter((hazard) => !ticks.has(hazard.confirm_subject));

function Row({ hazard, ticks }: { hazard: OpenHazard; ticks: ReadonlySet<string> }) {
  const stage = stage_of[hazard.source];
  const subject = hazard.confirm_subject;
  return (
    <li>
      <label class="tickbox">
        <input
          type="checkbox"
          checked={ticks.has(subject)}
          onChange={(event) => void set_tick(subject, event.currentTarget.checked, hazard.text)}
        />
        <span>
          {sentence(hazard.text)}
          <br />
          <span class="soft">{hazard.look}</span>
        </span>
      </label>
      {stage !== "prove" && (
        <a class="no-print" href={route_to(route.value.graft, stage)}>
          Open it
        </a>
      )}
    </li>
  );
}

export function ConfirmList({ report, ticks }: { report: ProveReport; ticks: ReadonlySet<string> }) {
  return (
    <ol class="confirm-list">
      {report.to_confirm.map((hazard) => (
        <Row key={hazard.confirm_subject} hazard={hazard} ticks={ticks} />
      ))}
    </ol>
  );
}

export function ConfirmScreen({ report, ticks }: { report: ProveReport; ticks: ReadonlySet<string> }) {
  const open = unconfirmed(report, ticks).length;
  return (
    <section class="sheet stack step step-condition" aria-label="Look and confirm" tabIndex={-1} data-confirm>
      <h2>Look and confirm before the battery is joined</h2>
      <Mark name="damage" text={open === 1 ? "1 thing is open" : `${open} things are open`} />
      <p>No measurement of this plan rules these out. Look at each, then tick it. The steps with power come after the last tick.</p>
      <ConfirmList report={report} ticks={ticks} />
    </section>
  );
}
