// Currents where none should be; and what was assumed, each with the place to write down what was measured.

import type { DesignReport, Graft } from "../api_types";
import { measurable, subject_words } from "../model/measured";
import { with_signs } from "../model/signs";
import { Mark } from "../parts/mark";
import { figure } from "./compare_hazards";
import { MeasuredField } from "./design_field";

export function BackFeeds({ report, graft }: { report: DesignReport; graft: Graft }) {
  if (report.back_feeds.length === 0) return null;
  return (
    <section class="sheet stack" aria-label="Back-feeds">
      <h2>
        <Mark name="fails" word="Current where none should be" />
      </h2>
      <ul class="back-feeds">
        {report.back_feeds.map((feed, index) => (
          <li key={index}>
            <strong>{subject_words(graft, feed.subject)}</strong>: {feed.words} {figure(feed.current_a, "A")}.{" "}
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
    <section class="sheet stack" aria-label="Assumed">
      <h2>What was assumed ({report.assumptions.length}): measure it, and the figures follow</h2>
      <ul class="assumptions">
        {report.assumptions.map((one, index) => {
          const member = measurable(graft, one.subject, one.quantity);
          return (
            <li key={`${one.subject} ${one.quantity} ${index}`}>
              <span>
                <strong>{subject_words(graft, one.subject)}</strong>: {one.quantity.replace(/_(ohm|a|v|h)$/, "").replace(/_/g, " ")} taken as{" "}
                <strong>{with_signs(one.taken)}</strong>; <span class="soft">{one.why}</span>
              </span>
              {member && <MeasuredField doc={graft} subject={one.subject} member={{ ...member, words: "measured" }} hint="measured" unseen_label />}
            </li>
          );
        })}
      </ul>
    </section>
  );
}
