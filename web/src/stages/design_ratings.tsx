// Ratings that nobody stated: the volts that parts are made for, said with one tap; what electronic ones withstand.

import type { DesignReport, Graft, Missing } from "../api_types";
import { subject_text } from "../model/measured";
import { rate_volts } from "../model/ratings";
import { change } from "../net/edit";

function Rating({ graft, one }: { graft: Graft; one: Missing }) {
  const set = (volts: number) =>
    void change(`rated volts of ${subject_text(graft, one.subject)}`, (doc) => rate_volts(doc, one.subject, volts));
  return (
    <li>
      <span>{one.text}</span>
      <span class="buttons no-print">
        {[12, 24].map((volts) => (
          <button
            key={volts}
            type="button"
            aria-label={`${subject_text(graft, one.subject)} is made for ${volts} V`}
            onClick={() => set(volts)}
          >
            {volts} V
          </button>
        ))}
      </span>
    </li>
  );
}

export function MissingRatings({ graft, report }: { graft: Graft; report: DesignReport }) {
  if (report.missing.length === 0) return null;
  return (
    <section class="sheet stack" aria-label="Ratings that nobody stated">
      <h2>Not judged: what parts are made for ({report.missing.length})</h2>
      <ul class="missing-ratings">
        {report.missing.map((one) => (
          <Rating key={one.subject} graft={graft} one={one} />
        ))}
      </ul>
    </section>
  );
}
