// The blank face: a button for each cavity, with what was seen in it, where to look next, and, once the plug is
// certain, the cavity's name.

import type { PlugReport } from "../api_types";
import { key_of, seen_words, type Glimpse, type Seen } from "../model/glimpse";
import { WirePicture } from "../parts/wire";

interface Props {
  glimpse: Glimpse;
  report: PlugReport | null;
  at: string | null;
  pick: (key: string) => void;
}

function Content({ seen }: { seen: Seen | undefined }) {
  if (!seen) return null;
  if (seen.empty) {
    return (
      <>
        <span class="hole" />
        <span class="unseen">{seen_words(seen)}</span>
      </>
    );
  }
  return (
    <>
      <WirePicture base={seen.base} tracer={seen.tracer} width={26} />
      {seen.large && <span class="unseen">large </span>}
      <span class="letters">{seen.base ? (seen.tracer ? `${seen.base}/${seen.tracer}` : seen.base) : "?"}</span>
    </>
  );
}

// Cavities of a glove's width that a phone shows beside each other.
const fitting = 6;

export function BlankFace({ glimpse, report, at, pick }: Props) {
  const next = new Map((report?.certain ? [] : (report?.next ?? [])).map((look, index) => [key_of(look.row, look.column), index + 1]));
  const names = new Map((report?.certain ? report.places : []).map((place) => [key_of(place.row, place.column), place.cavity]));
  const any_seen = Object.keys(glimpse.seen).length > 0;
  const longest = Math.max(0, ...glimpse.rows);
  return (
    <>
      {longest > fitting && <p class="soft slide-hint">{longest} cavities in a row: slide the face sideways for the rest.</p>}
      <div class="blank scroll" tabIndex={0} role="region" aria-label="Blank face">
        <div class="blank-plug">
          {glimpse.latch && <p class="blank-latch">latch: {glimpse.latch}</p>}
          {glimpse.rows.map((count, r) => (
            <div class="blank-row" key={r}>
              {Array.from({ length: count }, (_, c) => {
                const key = key_of(r + 1, c + 1);
                const seen = glimpse.seen[key];
                const look = any_seen ? next.get(key) : undefined;
                const name = names.get(key);
                return (
                  <button
                    key={key}
                    type="button"
                    class={`cavity${seen?.large ? " cavity-large" : ""}${look ? " cavity-next" : ""}`}
                    aria-pressed={key === at}
                    data-place={key}
                    onClick={() => pick(key)}
                  >
                    <span class="unseen">
                      row {r + 1}, column {c + 1}: {seen ? "" : "not looked at"}
                      {name && ", cavity "}
                    </span>
                    {name && <span class="cavity-name">{name}</span>}
                    <Content seen={seen} />
                    {look && <span class="cavity-look">look {look}</span>}
                  </button>
                );
              })}
            </div>
          ))}
        </div>
      </div>
    </>
  );
}
