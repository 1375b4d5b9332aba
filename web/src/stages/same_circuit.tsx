// A person says whether a pin of the vehicle and one of the donor are one circuit; what was said can be taken back.

import { useState } from "preact/hooks";
import type { CavityRef, Graft, Module, PinName } from "../api_types";
import { say_circuit, take_back_circuit } from "../model/answers";
import { connectors_of, connector_name, find_pin, name_of_place } from "../model/document";
import { change } from "../net/edit";
import { Select } from "../parts/field";

interface Pair {
  found: Module;
  donor: Module;
}

const place_words = ({ connector, cavity }: CavityRef) => (connector ? `${connector}-${cavity}` : cavity);

function answer({ found, donor }: Pair, one: CavityRef, other: CavityRef, different: boolean): void {
  const words = `${place_words(one)} of the vehicle and ${place_words(other)} of the donor: ${different ? "not the same" : "the same circuit"}`;
  void change(words, (now) => {
    const pin = (module: Module, at: CavityRef) => {
      const fresh = now.modules?.find(({ id }) => id === module.id);
      return fresh && find_pin(now, fresh, at.connector, at.cavity);
    };
    const mine = pin(found, one);
    const theirs = pin(donor, other);
    return mine && theirs ? say_circuit(now, mine, theirs, different) : [];
  });
}

export function SameOrNot({ pair, one, other }: { pair: Pair; one: PinName; other: PinName }) {
  return (
    <div class="buttons">
      <button type="button" onClick={() => answer(pair, one, other, false)}>
        The same circuit
      </button>
      <button type="button" onClick={() => answer(pair, one, other, true)}>
        Not the same
      </button>
    </div>
  );
}

// For a pin that nobody asked about, or was asked about with another one.
export function SameAs({ graft, pair, one, likely }: { graft: Graft; pair: Pair; one: PinName; likely: PinName | null }) {
  const [chosen, set_chosen] = useState(likely ? place_words(likely) : "");
  const names = new Map(connectors_of(graft, pair.donor).map((plug) => [plug.id, connector_name(plug)]));
  const pins = (pair.donor.pins ?? []).map((pin): PinName => ({ ...pin, connector: names.get(pin.connector) ?? pin.connector, signal: pin.signal ?? "" }));
  const other = pins.find((pin) => place_words(pin) === chosen);
  return (
    <details class="same-as no-print">
      <summary>Say which circuit of the donor it is</summary>
      <Select
        label="Pin of the donor"
        value={chosen}
        choices={[["", "choose one"] as const, ...pins.map((pin) => [place_words(pin), `${place_words(pin)} ${pin.signal}`] as const)]}
        take={set_chosen}
      />
      {other && <SameOrNot pair={pair} one={one} other={other} />}
    </details>
  );
}

export function CircuitAnswers({ graft }: { graft: Graft }) {
  const answers = graft.circuit_answers ?? [];
  if (answers.length === 0) return null;
  const words = (at: CavityRef) => place_words({ ...at, connector: name_of_place(graft, at.connector) });
  return (
    <section class="sheet stack" aria-label="Circuits that a person decided">
      <h2>Decided by a person ({answers.length})</h2>
      <ul class="circuit-answers">
        {answers.map(({ id, found, donor, different }) => (
          <li key={id}>
            <span>
              {words(found)} of the vehicle and {words(donor)} of the donor are <strong>{different ? "not the same circuit" : "the same circuit"}</strong>.
            </span>{" "}
            <button
              type="button"
              class="no-print"
              aria-label={`Take back what was said of ${words(found)} and ${words(donor)}`}
              onClick={() => void change("An answer taken back", (now) => take_back_circuit(now, id))}
            >
              Take it back
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}
