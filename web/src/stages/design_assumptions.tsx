// Currents where there should be none; and the assumed values, each with a field for the measured one.

import type { DesignReport, Graft } from "../api_types";
import { measurable, quantity_text, subject_text } from "../model/measured";
import { figure } from "../model/units";
import { Mark } from "../parts/mark";
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
            <strong>{subject_text(graft, feed.subject)}</strong>: {feed.text} {figure(feed.current_a, "A")}.{" "}
            <span class="soft">{feed.condition}</span>
          </li>
        ))}
      </ul>
    </section>
  );
}

export function Assumptions({ report, graft }: { report: DesignReport; graft: Graft }) {
  if (report.assumptions.length === 0) return null;
  return (
    <section class="sheet stack" aria-label="Assumed values">
      <h2>Assumed values ({report.assumptions.length}): enter what you measure, and the design is updated</h2>
      <ul class="assumptions">
        {report.assumptions.map((one, index) => {
          const member = measurable(graft, one.subject, one.quantity);
          return (
            <li key={`${one.subject} ${one.quantity} ${index}`}>
              <span>
                <strong>{subject_text(graft, one.subject)}</strong>: {quantity_text(one.quantity)} <strong>{one.value}</strong>{" "}
                <span class="soft">({one.why})</span>
              </span>
              {member && (
                <MeasuredField doc={graft} subject={one.subject} member={{ ...member, text: "measured" }} hint="measured" hidden_label />
              )}
            </li>
          );
        })}
      </ul>
    </section>
  );
}
