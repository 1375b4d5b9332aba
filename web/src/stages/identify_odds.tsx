// How likely each plug and side is; no answer below certainty. Once certain: the side in words, cavity 1, the face.

import { useState } from "preact/hooks";
import type { Connector, PlugReport } from "../api_types";
import { Bar } from "../parts/bar";
import { Drawing } from "../parts/drawing";
import { Choice } from "../parts/field";
import { Mark } from "../parts/mark";
import { face_path, sides, type Side } from "./compare_face";

type Hypothesis = PlugReport["hypotheses"][number];

export function side_words(view: string): string {
  return view === "mating" ? "mating side" : view === "wire_entry" ? "wire-entry side" : "";
}

export function hypothesis_words(one: Hypothesis): string {
  if (!one.connector) return "none of these plugs";
  return `${one.connector}, seen from the ${side_words(one.view)}${one.turned ? ", half a turn from how it is drawn" : ""}`;
}

function percent(share: number): string {
  if (share > 0.999) return "over 99.9 %";
  if (share < 0.001) return "under 0.1 %";
  return `${(100 * share).toFixed(1)} %`;
}

function Answer({ best, cavity_one, plug }: { best: Hypothesis; cavity_one: string; plug: Connector | undefined }) {
  const [side, set_side] = useState<Side>(best.view === "mating" ? "mating" : "wire_entry");
  return (
    <div class="answer stack">
      <p class="answer-words">
        <Mark name="holds" word="It is" /> <strong>{best.connector || "none of these plugs"}</strong>
      </p>
      {best.connector && (
        <p>
          You look at its <strong>{side_words(best.view)}</strong>
          {best.turned ? ", turned half round from how it is drawn" : ""}. Cavity 1 is at the <strong>{cavity_one}</strong>. On the other
          side left and right change places.
        </p>
      )}
      {plug && (
        <>
          <Choice label="The face, seen from" value={side} choices={sides} take={set_side} />
          <Drawing path={face_path(plug.id, side)} label={`Face of ${best.connector}`} part="data-cavity" />
        </>
      )}
    </div>
  );
}

// The same in one line above the face: on a phone the odds themselves are out of sight while a person taps.
export function Brief({ report, started }: { report: PlugReport | null; started: boolean }) {
  const best = report?.hypotheses[0];
  const first = report?.next[0];
  if (!started || !report || !best) return null;
  return (
    <p class="brief" aria-hidden="true">
      {report.certain ? <Mark name="holds" word="It is" /> : <Mark name="unsure" word="Perhaps" />} {hypothesis_words(best)}{" "}
      <strong>{percent(best.probability)}</strong>
      {!report.certain && first && <span class="soft">; look at row {first.row}, column {first.column}</span>}
    </p>
  );
}

export function Odds({ report, plug, started }: { report: PlugReport | null; plug: Connector | undefined; started: boolean }) {
  if (!report || !started) {
    return (
      <section class="sheet stack" aria-label="What it is">
        <h2>What it is</h2>
        <p class="soft">Nothing seen yet. Begin with the wire whose colour you are surest of.</p>
      </section>
    );
  }
  const best = report.hypotheses[0];
  const first = report.next[0];
  return (
    <section class="sheet stack" aria-label="What it is">
      <h2>What it is</h2>
      <div role="status">
        {report.certain && best ? (
          <Answer key={`${best.connector} ${best.view}`} best={best} cavity_one={report.cavity_one} plug={plug} />
        ) : (
          <p>
            <Mark name="unsure" word="Not certain yet." /> {first ? `Look at row ${first.row}, column ${first.column} next.` : "Look at one more cavity."}
          </p>
        )}
      </div>
      <ol class="odds">
        {report.hypotheses.slice(0, 6).map((one, index) => (
          <li key={index}>
            <span class="odds-words">
              {hypothesis_words(one)} <strong>{percent(one.probability)}</strong>
            </span>
            <Bar share={one.probability} kind={index === 0 && report.certain ? "good" : "plain"} />
          </li>
        ))}
      </ol>
    </section>
  );
}
