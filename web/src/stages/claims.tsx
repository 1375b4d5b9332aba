// What the sources say of one pin, side by side, and the choice of what turned out to be right.

import type { Graft } from "../api_types";
import { prove_claim, kind_words } from "../model/answers";
import { find_pin, source_title, type PinPlace } from "../model/document";
import { change } from "../net/edit";
import { Mark } from "../parts/mark";
import { Wire } from "../parts/wire";

export function Claims({ graft, place, name }: { graft: Graft; place: PinPlace; name: string }) {
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
