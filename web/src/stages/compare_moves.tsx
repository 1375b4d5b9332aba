// The moves in the order of hands, to tick off; the adapter lead instead; and the step from comparison to plan.

import type { CompareReport, Move } from "../api_types";
import { post } from "../net/edit";
import { doc, graft } from "../net/graft";
import { tick, use_ticks } from "../net/ticks";
import { go, route_to } from "../route";
import { place_words } from "./compare_circuits";

const action_words: Record<string, string> = {
  retire: "Take out and insulate",
  park: "Park",
  move: "Move",
  insert_parked: "Put in what was parked",
  add: "Add",
  plug_cavity: "Blank off",
  unplug_cavity: "Take the blanking plug out",
};

const words_of = (action: string) => action_words[action] ?? action.replace(/_/g, " ");

export function move_subject(move: Move): string {
  const from = move.from ? place_words(move.from) : "";
  const to = move.to ? place_words(move.to) : "";
  return `move.${move.action}.${from}.${to}`;
}

function Places({ move }: { move: Move }) {
  const from = move.from ? place_words(move.from) : "";
  const to = move.to ? place_words(move.to) : "";
  return (
    <strong class="move-places">
      {from}
      {from && to ? " → " : ""}
      {to}
    </strong>
  );
}

const count_words: Record<string, string> = {
  extractions: "terminals out",
  insertions: "terminals in",
  parkings: "parked in between",
  cavity_plugs_in: "blanking plugs in",
  cavity_plugs_out: "blanking plugs out",
};

async function propose(found: string, donor: string): Promise<void> {
  const done = await post("The plan", "/plan/propose", { found, donor });
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
        The moves, in the order of hands ({done} of {report.moves.length} done)
      </h2>
      <p class="soft">
        {Object.entries(report.move_counts)
          .filter(([, count]) => count > 0)
          .map(([key, count]) => `${count} ${count_words[key] ?? key.replace(/_/g, " ")}`)
          .join(", ")}
        . Battery negative off first.
      </p>
      <ol class="moves">
        {report.moves.map((move) => {
          const subject = move_subject(move);
          return (
            <li key={subject}>
              <label>
                <input type="checkbox" checked={ticks.has(subject)} onChange={(event) => void tick(subject, event.currentTarget.checked)} />
                <span class="move-number">{move.step}</span>
                <span>
                  {words_of(move.action)} <Places move={move} /> {move.signal}
                  {move.note && <span class="soft"> {move.note}</span>}
                </span>
              </label>
            </li>
          );
        })}
      </ol>
      <div class="buttons no-print">
        <button type="button" class="first" onClick={() => void propose(found, donor)}>
          {planned > 0 ? "Bring the plan up to date" : "Make this the plan"}
        </button>
        {planned > 0 && <span class="soft">The plan has {planned} steps: moves and new wires.</span>}
      </div>
      <details>
        <summary>
          Or an adapter lead: {report.adapter.wires} wires, {report.adapter.crossed} crossed, {report.adapter.joints} joints
        </summary>
        <ul>
          {report.adapter.reversible && <li>The loom stays as it is; the lead comes off again.</li>}
          {report.adapter.limits.map((limit, index) => (
            <li key={index}>{limit}</li>
          ))}
        </ul>
      </details>
    </section>
  );
}
