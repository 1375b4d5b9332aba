// The moves in working order, to tick off; the adapter lead as an alternative; the step from comparison to plan.

import type { CompareReport, Move, MoveAction } from "../api_types";
import { end_text } from "../model/document";
import { move_subject } from "../model/tick_subjects";
import { post } from "../net/edit";
import { doc, graft } from "../net/graft";
import { set_tick, use_ticks } from "../net/ticks";
import { ShowAll, use_shortened } from "../parts/shortened";
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

// The step from comparison to plan.
export function MakePlan({ found, donor }: { found: string; donor: string }) {
  const planned = doc.value?.plan?.length ?? 0;
  return (
    <>
      <button type="button" class="primary make-plan" onClick={() => void propose(found, donor)}>
        {planned > 0 ? "Update the plan" : "Make this the plan"}
      </button>
      {planned > 0 && <span class="soft">The plan has {planned} steps: moves and new wires.</span>}
    </>
  );
}

function MoveRow({ move, done }: { move: Move; done: boolean }) {
  const subject = move_subject(move);
  return (
    <li>
      <label>
        <input
          type="checkbox"
          checked={done}
          onChange={(event) => void set_tick(subject, event.currentTarget.checked, `${action_text[move.action]} ${move.signal}`)}
        />
        <span class="move-number">{move.step}</span>
        <span>
          {action_text[move.action]} <FromTo move={move} /> {move.signal}
          {move.note && <span class="soft"> {move.note}</span>}
        </span>
      </label>
    </li>
  );
}

const shown_at_first = 10;

export function Moves({ report }: { report: CompareReport }) {
  const ticks = use_ticks();
  const is_done = (move: Move) => ticks.has(move_subject(move));
  const done = report.moves.filter(is_done).length;
  // The list begins with what was done last, so that one can see where one is.
  const first_open = report.moves.findIndex((move) => !is_done(move));
  const from = Math.max(0, Math.min(first_open - 1, report.moves.length - shown_at_first));
  const next = new Set(report.moves.slice(from, from + shown_at_first));
  const { shown, rest, show_all } = use_shortened(report.moves, 0, (move) => next.has(move));
  return (
    <section class="sheet stack" id="moves" aria-label="Moves">
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
        {shown.map((move) => (
          <MoveRow key={move_subject(move)} move={move} done={is_done(move)} />
        ))}
      </ol>
      <ShowAll rest={rest} show_all={show_all} count={report.moves.length} what="moves" />
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
