// How likely each plug and side is. No answer is given until it is certain; then the side, cavity 1 and the face.

import { useState } from "preact/hooks";
import type { Connector, PlugReport } from "../api_types";
import { Bar } from "../parts/bar";
import { Drawing } from "../parts/drawing";
import { Choice } from "../parts/field";
import { Mark } from "../parts/mark";
import { face_path, type Side, sides } from "./compare_face";

type Hypothesis = PlugReport["hypotheses"][number];

function side_text(view: string): string {
  return view === "mating" ? "mating side" : view === "wire_entry" ? "wire-entry side" : "";
}

function hypothesis_text(one: Hypothesis): string {
  if (!one.connector) return "none of these plugs";
  return `${one.connector}, seen from the ${side_text(one.view)}${one.turned ? ", upside down compared with the drawing" : ""}`;
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
      <p class="answer-text">
        <Mark name="passes" text="It is" /> <strong>{best.connector || "none of these plugs"}</strong>
      </p>
      {best.connector && (
        <p>
          You look at its <strong>{side_text(best.view)}</strong>
          {best.turned ? ", upside down compared with the drawing" : ""}. Cavity 1 is at the <strong>{cavity_one}</strong>. On the other
          side, left and right are swapped.
        </p>
      )}
      {plug && (
        <>
          <Choice label="Face, seen from" value={side} choices={sides} take={set_side} />
          <Drawing path={face_path(plug.id, side)} label={`Face of ${best.connector}`} part="data-cavity" />
        </>
      )}
    </div>
  );
}

// The result in one line above the face: on a phone the full result is out of sight while a person taps.
export function ResultLine({ report, started }: { report: PlugReport | null; started: boolean }) {
  const best = report?.hypotheses[0];
  const first = report?.next[0];
  if (!started || !report || !best) return null;
  return (
    <p class="result-line" aria-hidden="true">
      {report.certain ? <Mark name="passes" text="It is" /> : <Mark name="unsure" text="Maybe" />} {hypothesis_text(best)}{" "}
      <strong>{percent(best.probability)}</strong>
      {!report.certain && first && (
        <span class="soft">
          ; look at row {first.row}, column {first.column}
        </span>
      )}
    </p>
  );
}

export function IdentifyResult({ report, plug, started }: { report: PlugReport | null; plug: Connector | undefined; started: boolean }) {
  if (!report || !started) {
    return (
      <section class="sheet stack" aria-label="What it is">
        <h2>What it is</h2>
        <p class="soft">Nothing entered yet. Begin with the wire whose colour you are most sure of.</p>
      </section>
    );
  }
  const best = report.hypotheses[0];
  const first = report.next[0];
  return (
    <section class="sheet stack" aria-label="What it is">
      <h2>What it is</h2>
      <div role="status" data-certain={report.certain}>
        {report.certain && best ? (
          <Answer key={`${best.connector} ${best.view}`} best={best} cavity_one={report.cavity_one} plug={plug} />
        ) : (
          <p>
            <Mark name="unsure" text="Not certain yet." />{" "}
            {first ? `Look at row ${first.row}, column ${first.column} next.` : "Look at one more cavity."}
          </p>
        )}
      </div>
      <ol class="hypotheses">
        {report.hypotheses.slice(0, 6).map((one, index) => (
          <li key={index}>
            <span class="hypothesis">
              {hypothesis_text(one)} <strong>{percent(one.probability)}</strong>
            </span>
            <Bar share={one.probability} kind={index === 0 && report.certain ? "good" : "plain"} />
          </li>
        ))}
      </ol>
    </section>
  );
}
