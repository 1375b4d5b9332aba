// What the sources say of one pin, side by side, and the choice of what turned out to be right.

import type { Graft, Measure } from "../api_types";
import { prove_claim, kind_words } from "../model/answers";
import { find_pin, source_title, type PinPlace } from "../model/document";
import { with_signs } from "../model/signs";
import { change } from "../net/edit";
import { Mark } from "../parts/mark";
import { Wire } from "../parts/wire";

interface Props {
  graft: Graft;
  place: PinPlace;
  name: string;
  measure?: Measure | undefined;
}

// What to do with the meter; what it shows under each claim stands beside that claim.
export function HowToMeasure({ measure }: { measure: Measure }) {
  return (
    <p class="measure">
      <strong>Measure:</strong> {with_signs(measure.instruction)}
      {!measure.settles && <span class="doubt"> This reading alone does not settle it: where more than one fits, follow the wire.</span>}
    </p>
  );
}

export function Claims({ graft, place, name, measure }: Props) {
  const shows = (index: number) => measure?.shows.find((one) => one.claims.includes(index))?.reading;
  const claims = place.pin.claims ?? [];
  const settle = (index: number) =>
    void change(`What ${name} is`, (now) => {
      const module = now.modules?.find((one) => one.id === place.module.id);
      const fresh = module && find_pin(now, module, place.pin.connector, place.pin.cavity);
      const claim = fresh?.pin.claims?.[index];
      return fresh && claim ? prove_claim(fresh, claim) : [];
    });
  return (
    <ul class="claims">
      {claims.map((claim, index) => (
        <li key={index}>
          <span class="claim-words">
            <strong>{claim.signal || "no signal"}</strong>
            <span>{kind_words(claim.class)}</span>
            <Wire colour={claim.colour} />
            <span class="soft">
              {source_title(graft, claim.source) || "seen on the vehicle"}
              {claim.line ? `, line ${claim.line}` : ""}
            </span>
            {shows(index) && <span class="shows">meter shows {with_signs(shows(index) ?? "")}</span>}
          </span>
          {claim.proved ? (
            <Mark name="holds" word="proved" />
          ) : (
            <button type="button" onClick={() => settle(index)}>
              This is right
            </button>
          )}
        </li>
      ))}
    </ul>
  );
}
