// A change of what is unplugged, switched or joined: a screen of its own, with its cautions.

import type { Graft, ProveCondition } from "../api_types";
import { state_subject } from "../model/proof";
import { name_of_place } from "../model/document";
import { tick, use_ticks } from "../net/ticks";
import { Mark } from "../parts/mark";

function Facts({ graft, state }: { graft: Graft; state: ProveCondition }) {
  const names = (ids: string[]) => ids.map((id) => name_of_place(graft, id)).join(", ");
  const rows: [string, string][] = [
    ["Battery", state.battery_off ? "negative lead off its post" : "joined"],
    ["Key", state.key],
    ["Unplugged", names(state.unplugged) || "nothing"],
    ["Out of their sockets", names(state.removed) || "nothing"],
    ...state.jumpers.map((words): [string, string] => ["Jumper", words]),
  ];
  return (
    <dl class="facts">
      {rows.map(([name, words]) => (
        <div key={name + words}>
          <dt>{name}</dt>
          <dd>{words}</dd>
        </div>
      ))}
    </dl>
  );
}

export function StateScreen({ graft, state, done }: { graft: Graft; state: ProveCondition; done: () => void }) {
  const ticks = use_ticks();
  const ready = ticks.has(state_subject(state.id));
  const go_on = () => {
    if (!ready) void tick(state_subject(state.id), true);
    done();
  };
  return (
    <section class="sheet stack step" aria-label="Change first" tabIndex={-1}>
      <h2>Change first</h2>
      <p class="step-words">{state.words}</p>
      {state.live && <Mark name="damage" word="Power is on in the steps that follow" />}
      <Facts graft={graft} state={state} />
      {state.cautions.map((caution) => (
        <p key={caution} class="caution">
          {caution}
        </p>
      ))}
      <button type="button" class="first step-next" onClick={go_on}>
        {ready ? "It is so: go on" : "Done: go on"}
      </button>
    </section>
  );
}
