// The blank face: a button for each cavity with what was seen in it, where to look next, and the cavity's name once the
// plug is certain.

import type { PlugReport } from "../api_types";
import {
  type CavityObservation,
  letters_of,
  observed_text,
  type PlugObservation,
  type Position,
  same_position,
  seen_at,
} from "../model/observation";
import { WirePicture } from "../parts/wire";

function CavityContent({ seen }: { seen: CavityObservation | undefined }) {
  if (!seen) return null;
  if (seen.empty) {
    return (
      <>
        <span class="hole" />
        <span class="visually-hidden">{observed_text(seen)}</span>
      </>
    );
  }
  return (
    <>
      <WirePicture base={seen.base} tracer={seen.tracer} width={26} />
      {seen.large && <span class="visually-hidden">large </span>}
      <span class="letters">{letters_of(seen) || "?"}</span>
    </>
  );
}

interface CavityProps {
  at: Position;
  seen: CavityObservation | undefined;
  pressed: boolean;
  look: number; // 1: look here first, 2: second, and so on; 0: no need
  name: string | undefined;
  pick: () => void;
}

function CavityButton({ at, seen, pressed, look, name, pick }: CavityProps) {
  return (
    <button
      type="button"
      class={`cavity${seen?.large ? " cavity-large" : ""}${look > 0 ? " cavity-next" : ""}`}
      aria-pressed={pressed}
      data-row={at.row}
      data-column={at.column}
      onClick={pick}
    >
      <span class="visually-hidden">
        row {at.row}, column {at.column}: {seen ? "" : "not looked at"}
        {name && ", cavity "}
      </span>
      {name && <span class="cavity-name">{name}</span>}
      <CavityContent seen={seen} />
      {look > 0 && <span class="cavity-look">look {look}</span>}
    </button>
  );
}

// Cavities with the width of a gloved finger that a phone shows in one row.
const most_in_view = 6;

interface Props {
  observation: PlugObservation;
  report: PlugReport | null;
  at: Position | null;
  pick: (at: Position) => void;
}

export function BlankFace({ observation, report, at, pick }: Props) {
  const next = report && !report.certain && observation.seen.length > 0 ? report.next : [];
  const names = report?.certain ? report.places : [];
  const longest = Math.max(0, ...observation.rows);
  return (
    <>
      {longest > most_in_view && <p class="soft slide-hint">{longest} cavities in a row: slide the face sideways to see them all.</p>}
      <div class="blank-face scroll" tabIndex={0} role="region" aria-label="Blank face">
        <div class="blank-plug">
          {observation.latch && <p class="blank-latch">latch: {observation.latch}</p>}
          {observation.rows.map((count, r) => (
            <div class="blank-row" key={r}>
              {Array.from({ length: count }, (_, c) => {
                const here = { row: r + 1, column: c + 1 };
                return (
                  <CavityButton
                    key={c}
                    at={here}
                    seen={seen_at(observation, here)}
                    pressed={at !== null && same_position(at, here)}
                    look={next.findIndex((one) => same_position(one, here)) + 1}
                    name={names.find((one) => same_position(one, here))?.cavity}
                    pick={() => pick(here)}
                  />
                );
              })}
            </div>
          ))}
        </div>
      </div>
    </>
  );
}
