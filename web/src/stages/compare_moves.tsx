// The moves in working order, to tick off; the adapter lead as an alternative; the step from comparison to plan.

import type { CompareReport, Move, MoveAction } from "../api_types";
import { end_text } from "../model/document";
import { move_subject } from "../model/tick_subjects";
import { post } from "../net/edit";
import { doc, graft } from "../net/graft";
import { set_tick, use_ticks } from "../net/ticks";
import { go, route_to } from "../route";

const action_text: Record<MoveAction, string> = {
  retire: "Take out and insulate",
  park: "Park",
  move: "Move",
  insert_parked: "Insert the parked terminal",
  add: "Add",
  plug_cavity: "Fit a blanking plug",
  unplug_cavity: "Remove the blanking plug",
};

function FromTo({ move }: { move: Move }) {
  const from = move.from ? end_text(move.from) : "";
  const to = move.to ? end_text(move.to) : "";
  return (
    <strong class="move-ends">
      {from}
      {from && to ? " → " : ""}
      {to}
    </strong>
  );
}

const counts = [
  ["extractions", "terminals out"],
  ["insertions", "terminals in"],
  ["parkings", "parked on the way"],
  ["cavity_plugs_in", "blanking plugs in"],
  ["cavity_plugs_out", "blanking plugs out"],
] as const;

async function propose(found: string, donor: string): Promise<void> {
  const done = await post("the plan", "/plan/propose", { found, donor });
  const name = graft.value?.name;
  if (done && name) go(route_to(name, "design"));
}

export function Moves({ report, found, donor }: { report: CompareReport; found: string; donor: string }) {
  const ticks = use_ticks();
  const done = report.moves.filter((move) => ticks.has(move_subject(move))).length;
  const planned = doc.value?.plan?.length ?? 0;
  return (
    <section class="sheet stack" id="moves" tabIndex={-1} aria-label="Moves">
      <h2>
        Moves in working order ({done} of {report.moves.length} done)
      </h2>
      <p class="soft">
        {counts
          .filter(([name]) => report.move_counts[name] > 0)
          .map(([name, text]) => `${report.move_counts[name]} ${text}`)
          .join(", ")}
        . Disconnect battery negative first.
      </p>
      <ol class="moves">
        {report.moves.map((move) => {
          const subject = move_subject(move);
          return (
            <li key={subject}>
              <label>
                <input
                  type="checkbox"
                  checked={ticks.has(subject)}
                  onChange={(event) => void set_tick(subject, event.currentTarget.checked)}
                />
                <span class="move-number">{move.step}</span>
                <span>
                  {action_text[move.action]} <FromTo move={move} /> {move.signal}
                  {move.note && <span class="soft"> {move.note}</span>}
                </span>
              </label>
            </li>
          );
        })}
      </ol>
      <div class="buttons no-print">
        <button type="button" class="primary" onClick={() => void propose(found, donor)}>
          {planned > 0 ? "Update the plan" : "Make this the plan"}
        </button>
        {planned > 0 && <span class="soft">The plan has {planned} steps: moves and new wires.</span>}
      </div>
      <details>
        <summary>
          Or an adapter lead: {report.adapter.wires} wires, {report.adapter.crossed} crossed, {report.adapter.joints} joints
        </summary>
        <ul>
          {report.adapter.reversible && <li>The loom stays as it is, and the lead can be removed again.</li>}
          {report.adapter.limits.map((limit, index) => (
            <li key={index}>{limit}</li>
          ))}
        </ul>
      </details>
    </section>
  );
}
