// A person records whether a pin of the vehicle and a pin of the donor are the same circuit; the answer can be removed.

import type { CavityRef, Graft, Module, PinName } from "../api_types";
import { use_draft } from "../drafts";
import { record_circuit_answer, remove_circuit_answer } from "../model/answers";
import { connector_name, connectors_of, end_text, find_pin, part_name } from "../model/document";
import { change } from "../net/edit";
import { Select } from "../parts/field";
import { route } from "../route";

interface Pair {
  found: Module;
  donor: Module;
}

function answer({ found, donor }: Pair, one: CavityRef, other: CavityRef, different: boolean): Promise<boolean> {
  const text = `${end_text(one)} of the vehicle and ${end_text(other)} of the donor: ${different ? "not the same" : "the same circuit"}`;
  return change(text, (now) => {
    const pin = (module: Module, at: CavityRef) => {
      const fresh = now.modules?.find(({ id }) => id === module.id);
      return fresh && find_pin(now, fresh, at.connector, at.cavity);
    };
    const mine = pin(found, one);
    const theirs = pin(donor, other);
    return mine && theirs ? record_circuit_answer(now, mine, theirs, different) : [];
  });
}

interface SameOrNotProps {
  pair: Pair;
  one: PinName;
  other: PinName;
  answered?: () => void;
}

export function SameOrNot({ pair, one, other, answered }: SameOrNotProps) {
  const say = (different: boolean) =>
    void answer(pair, one, other, different).then((saved) => {
      if (saved) answered?.();
    });
  return (
    <div class="buttons same-or-not">
      <button type="button" onClick={() => say(false)}>
        The same circuit
      </button>
      <button type="button" onClick={() => say(true)}>
        Not the same
      </button>
    </div>
  );
}

// For a pin without a question, or with a question about another pin.
export function SameAs({ graft, pair, one, likely }: { graft: Graft; pair: Pair; one: PinName; likely: PinName | null }) {
  const proposed = likely ? end_text(likely) : "";
  const [chosen, set_chosen, drop] = use_draft(route.value.graft, `same.${pair.donor.id}.${end_text(one)}`, proposed);
  const names = new Map(connectors_of(graft, pair.donor).map((plug) => [plug.id, connector_name(plug)]));
  const pins = (pair.donor.pins ?? []).map(
    (pin): PinName => ({ ...pin, connector: names.get(pin.connector) ?? pin.connector, signal: pin.signal ?? "" }),
  );
  const other = pins.find((pin) => end_text(pin) === chosen);
  return (
    <details class="same-as no-print" open={chosen !== proposed}>
      <summary>Match it with a circuit of the donor</summary>
      <Select
        label="Pin of the donor"
        value={chosen}
        choices={[["", "choose a pin"] as const, ...pins.map((pin) => [end_text(pin), `${end_text(pin)} ${pin.signal}`] as const)]}
        take={set_chosen}
      />
      {other && <SameOrNot pair={pair} one={one} other={other} answered={drop} />}
    </details>
  );
}

export function CircuitAnswers({ graft }: { graft: Graft }) {
  const answers = graft.circuit_answers ?? [];
  if (answers.length === 0) return null;
  const text = (at: CavityRef) => end_text({ ...at, connector: part_name(graft, at.connector) });
  return (
    <section class="sheet stack" aria-label="Circuits matched by a person">
      <h2>Matched by a person ({answers.length})</h2>
      <ul class="circuit-answers">
        {answers.map(({ id, found, donor, different }) => (
          <li key={id} data-same={!different}>
            <span>
              {text(found)} of the vehicle and {text(donor)} of the donor are{" "}
              <strong>{different ? "not the same circuit" : "the same circuit"}</strong>.
            </span>{" "}
            <button
              type="button"
              class="no-print"
              aria-label={`Remove the answer about ${text(found)} and ${text(donor)}`}
              onClick={() => void change("removing an answer", (now) => remove_circuit_answer(now, id))}
            >
              Remove
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}
