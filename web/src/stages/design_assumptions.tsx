// Currents where there should be none; and the assumed values by circuit, each with a field for the measured one.

import type { AssumptionOutcome, DesignReport, Graft } from "../api_types";
import { type Assumption, type AssumptionGroup, assumption_groups } from "../model/assumption_groups";
import { measurable, quantity_text, subject_text } from "../model/measured";
import { figure } from "../model/units";
import { Help } from "../parts/help";
import { Mark } from "../parts/mark";
import { black_ink } from "../parts/print";
import { MeasuredField } from "./measured_field";

export function BackFeeds({ report, graft }: { report: DesignReport; graft: Graft }) {
  if (report.back_feeds.length === 0) return null;
  return (
    <section class="sheet stack" aria-label="Back-feeds">
      <h2>
        <Mark name="fails" text="Back-feed: current where there should be none" />
      </h2>
      <ul class="back-feeds">
        {report.back_feeds.map((feed, index) => (
          <li key={index}>
            <strong>{subject_text(graft, feed.subject)}</strong>: {feed.text}{" "}
            {figure(feed.current_a === null ? null : Math.abs(feed.current_a), "A")}. <span class="soft">{feed.condition}</span>
          </li>
        ))}
      </ul>
    </section>
  );
}

// What the check that depends on it most would say with the other end of the interval.
function Outcome({ report, outcome }: { report: DesignReport; outcome: AssumptionOutcome }) {
  const circuit = report.circuits.find((one) => one.id === outcome.circuit);
  const check = circuit?.checks.find((one) => one.check === outcome.check && one.subject === outcome.subject);
  const turns = outcome.passes !== outcome.passes_now;
  const side = outcome.bound === "at_most" ? "at most" : "at least";
  return (
    <span class={turns ? "outcome outcome-turns" : "outcome"}>
      {" "}
      With {outcome.instead}: {circuit?.name ?? ""}, {check?.text ?? "the check"} {figure(outcome.value, outcome.unit)}, {side}{" "}
      {figure(outcome.limit, outcome.unit)} — <strong>{outcome.passes ? "passes" : "fails"}</strong>.
    </span>
  );
}

function AssumedValue({ report, graft, one }: { report: DesignReport; graft: Graft; one: Assumption }) {
  const member = measurable(graft, one.subject, one.quantity);
  return (
    <li>
      <span>
        <strong>{subject_text(graft, one.subject)}</strong>: {quantity_text(one.quantity)} <strong>{one.value}</strong>{" "}
        <span class="soft">({one.why})</span>
        {one.outcome && <Outcome report={report} outcome={one.outcome} />}
      </span>
      {member && <MeasuredField doc={graft} subject={one.subject} member={{ ...member, text: "measured" }} hint="measured" hidden_label />}
    </li>
  );
}

interface GroupProps {
  report: DesignReport;
  graft: Graft;
  group: AssumptionGroup;
  open: boolean;
}

function Group({ report, graft, group, open }: GroupProps) {
  return (
    <details class="assumption-group" open={open || black_ink.value}>
      <summary>
        <span class="assumption-title">
          <strong>{group.title}</strong> <span class="tab-count">{group.list.length}</span>
        </span>
        {group.note && <span class="soft assumption-note">{group.note}</span>}
      </summary>
      <ul class="assumptions">
        {group.list.map((one, index) => (
          <AssumedValue key={`${one.subject} ${one.quantity} ${index}`} report={report} graft={graft} one={one} />
        ))}
      </ul>
    </details>
  );
}

// The first group is open only if it is short: a long list would hide the groups after it.
const open_up_to = 6;

export function Assumptions({ report, graft }: { report: DesignReport; graft: Graft }) {
  if (report.assumptions.length === 0) return null;
  return (
    <section class="sheet stack" id="assumptions" aria-label="Assumed values">
      <div class="head-help">
        <h2>Assumed values ({report.assumptions.length}): enter what you measure, and the design is updated</h2>
        <Help word="default value" />
      </div>
      <div>
        {assumption_groups(graft, report).map((group, index) => (
          <Group key={group.key} report={report} graft={graft} group={group} open={index === 0 && group.list.length <= open_up_to} />
        ))}
      </div>
    </section>
  );
}
