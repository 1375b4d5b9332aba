// Where a pin comes from: what each source says of it, with the line and column in the source.

import type { Claim, Graft, Pin } from "../api_types";
import { source_title } from "../model/document";
import { class_text } from "../model/pin_classes";
import { Wire } from "../parts/wire";

function place_in_source(graft: Graft, claim: Claim): string {
  if (claim.source === undefined) return "a person, on this vehicle";
  if (claim.place) return `${source_title(graft, claim.source)}, ${claim.place}`;
  const line = claim.line ? `, line ${claim.line}` : "";
  const column = claim.column ? `, column ${claim.column}` : "";
  return `${source_title(graft, claim.source)}${line}${column}`;
}

export function PinSources({ graft, pin, name }: { graft: Graft; pin: Pin; name: string }) {
  const claims = pin.claims ?? [];
  return (
    <section class="pin-sources" aria-label={`Where ${name} comes from`}>
      <h3>Where {name} comes from</h3>
      {claims.length === 0 && <p class="soft">No source: it was added by hand.</p>}
      <ul>
        {claims.map((claim, index) => (
          <li key={index}>
            <span class="soft">{place_in_source(graft, claim)}:</span> {claim.signal || "no signal"}, {class_text(claim.class)}{" "}
            <Wire colour={claim.colour} />
            {claim.proved && <strong> proved</strong>}
          </li>
        ))}
      </ul>
      {(pin.doubts ?? []).map((doubt) => (
        <p key={doubt} class="doubt">
          {doubt}
        </p>
      ))}
    </section>
  );
}
