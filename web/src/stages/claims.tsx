// What the sources say about one pin, side by side, and the choice of which one is right.

import type { Graft, Measure, Question } from "../api_types";
import { settle_claim } from "../model/answers";
import { find_pin, type LocatedPin, source_title } from "../model/document";
import { class_text } from "../model/pin_classes";
import { change } from "../net/edit";
import { Mark } from "../parts/mark";
import { Wire } from "../parts/wire";

// What to do at the vehicle. What the meter shows under each claim is written beside that claim.
export function HowToSettle({ question: { measure, answer_by } }: { question: Question }) {
  if (!measure) {
    return (
      <p class="measure">
        <strong>How to find out:</strong> {answer_by}
      </p>
    );
  }
  return (
    <p class="measure">
      <strong>Measure:</strong> {measure.instruction}
      {!measure.conclusive && <span class="doubt"> This reading alone does not settle it: if more than one fits, follow the wire.</span>}
    </p>
  );
}

interface Props {
  graft: Graft;
  located: LocatedPin;
  name: string;
  measure?: Measure | undefined;
}

export function Claims({ graft, located, name, measure }: Props) {
  const expected_reading = (index: number) => measure?.shows.find((one) => one.claims.includes(index))?.reading;
  const claims = located.pin.claims ?? [];
  const settle = (index: number) =>
    void change(`what ${name} is`, (now) => {
      const module = now.modules?.find((one) => one.id === located.module.id);
      const fresh = module && find_pin(now, module, located.pin.connector, located.pin.cavity);
      const claim = fresh?.pin.claims?.[index];
      return fresh && claim ? settle_claim(fresh, claim) : [];
    });
  return (
    <ul class="claims">
      {claims.map((claim, index) => (
        <li key={index} data-class={claim.class ?? "unknown"}>
          <span class="claim-text">
            <strong>{claim.signal || "no signal"}</strong>
            <span>{class_text(claim.class)}</span>
            <Wire colour={claim.colour} />
            <span class="soft">
              {source_title(graft, claim.source) || "seen on the vehicle"}
              {claim.place ? `, ${claim.place}` : claim.line ? `, line ${claim.line}` : ""}
            </span>
            {expected_reading(index) && <span class="expected-reading">meter shows {expected_reading(index)}</span>}
          </span>
          {claim.proved ? (
            <Mark name="passes" text="proved" />
          ) : (
            <button type="button" onClick={() => settle(index)}>
              This one is right
            </button>
          )}
        </li>
      ))}
    </ul>
  );
}
