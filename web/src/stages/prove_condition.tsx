// A change of condition (what is unplugged, switched or bridged): a screen of its own, with its cautions.

import { useEffect } from "preact/hooks";
import type { Graft, ProveCondition } from "../api_types";
import { part_name } from "../model/document";
import { step_key } from "../model/proof";
import { condition_subject } from "../model/tick_subjects";
import { meter, use_meter } from "../net/meter";
import { set_tick, use_ticks } from "../net/ticks";
import { Help } from "../parts/help";
import { Mark } from "../parts/mark";
import { speak } from "../speech";

function Facts({ graft, condition }: { graft: Graft; condition: ProveCondition }) {
  const names = (ids: string[]) => ids.map((id) => part_name(graft, id)).join(", ");
  const rows: [string, string][] = [
    ["Battery", condition.battery_off ? "negative lead disconnected" : "connected"],
    ["Key", condition.key],
    ["Unplugged", names(condition.unplugged) || "nothing"],
    ["Removed from socket", names(condition.removed) || "nothing"],
    ...condition.jumpers.map((text): [string, string] => ["Jumper", text]),
  ];
  return (
    <dl class="facts">
      {rows.map(([name, text]) => (
        <div key={name + text}>
          <dt>{name}</dt>
          <dd>{text}</dd>
        </div>
      ))}
    </dl>
  );
}

export function ConditionScreen({ graft, condition, done }: { graft: Graft; condition: ProveCondition; done: () => void }) {
  const ticks = use_ticks();
  use_meter("", "", false);
  const subject = condition_subject(condition.id);
  const ready = ticks.has(subject);
  const go_on = () => {
    if (meter.value?.attached) {
      // Also where it is ticked already: the meter goes to ohms only if the last tick says that the loom is dead.
      void set_tick(subject, true, condition.text).then(done);
      return;
    }
    if (!ready) void set_tick(subject, true, condition.text);
    done();
  };
  useEffect(() => speak(`Prepare first. ${condition.text}`), [condition.id]);
  return (
    <section
      class="sheet stack step step-condition"
      aria-label="Prepare first"
      tabIndex={-1}
      data-key={step_key({ kind: "condition", id: condition.id })}
    >
      <div class="head-help">
        <h2>Prepare first</h2>
        <Help word="condition" />
      </div>
      <p class="step-text">{condition.text}</p>
      {condition.live && <Mark name="damage" text="Power is on in the next steps" />}
      <Facts graft={graft} condition={condition} />
      {condition.cautions.map((caution) => (
        <p key={caution} class="caution">
          {caution}
        </p>
      ))}
      <button type="button" class="primary step-next" onClick={go_on}>
        {ready ? "Still as described: continue" : "Done: continue"}
      </button>
    </section>
  );
}
