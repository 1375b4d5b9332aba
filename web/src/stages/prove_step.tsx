// One measurement on one screen: where, the faces with their cavity lit, leads, setting, band, the keypad.

import type { JSX } from "preact";
import { useRef, useState } from "preact/hooks";
import type { Graft, ProbePlace, ProveCondition, ProveTest, Reading } from "../api_types";
import { amount, band_words, fate_of, fate_words, over_range, practised, said_in_band, sentence, unreached } from "../model/proof";
import { connector_name } from "../model/document";
import { take_reading } from "../net/readings";
import { Drawing } from "../parts/drawing";
import { Mark } from "../parts/mark";
import { route_to, route } from "../route";
import { face_path, narrow } from "./compare_face";
import { Keypad } from "./prove_keypad";
import { Photos } from "./prove_photos";

export function lead_face(place: ProbePlace): string | null {
  if (place.side === "") return null;
  return face_path(place.at, place.side, { cavity: place.cavity, show: "planned", width: narrow() ? "70" : "90" });
}

function Probe({ graft, colour, place }: { graft: Graft; colour: "red" | "black"; place: ProbePlace }) {
  const connector = graft.connectors?.find((one) => one.id === place.at);
  const face = lead_face(place);
  return (
    <div class={`probe probe-${colour}`}>
      <p>
        <strong>{colour === "red" ? "Red lead" : "Black lead"}</strong> {place.words}
      </p>
      {connector && face && (
        <Drawing path={face} label={`${connector_name(connector)} with ${place.cavity} lit`} part="data-cavity" lit={[place.cavity]} />
      )}
    </div>
  );
}

function Verdict({ test, reading }: { test: ProveTest; reading: Reading }) {
  const fate = fate_of(test, reading);
  const figure = fate === "unreached" ? "" : reading.id.startsWith(said_in_band) ? "no figure" : amount(reading.value, test.band.unit);
  return (
    <>
      <Mark name={fate === "in" ? "holds" : fate === "out" ? "fails" : "unsure"} word={fate_words[fate]} /> {figure}
      {reading.id.startsWith(practised) ? " (practice)" : ""}
    </>
  );
}

function Outcome({ test, reading }: { test: ProveTest; reading: Reading | undefined }) {
  if (!reading) return null;
  return (
    <p class={`outcome outcome-${fate_of(test, reading)}`} role="status">
      <Verdict test={test} reading={reading} />
      {reading.author ? ` by ${reading.author}` : ""}
    </p>
  );
}

// What was entered last stays in sight for one more screen: a wrong key is noticed while the leads are still at hand.
export function StepBefore({ test, number, reading }: { test: ProveTest; number: number; reading: Reading | undefined }) {
  if (!reading) return null;
  return (
    <p class="step-before">
      Step {number}: <Verdict test={test} reading={reading} />
    </p>
  );
}

// Whoever has it open already reads on.
function ToOpen({ graft, access }: { graft: Graft; access: string[] }) {
  const words = access.map((id) => {
    const place = graft.places?.find((one) => one.id === id);
    return `${place?.name || id} (${place?.access_min ?? 0} min)`;
  });
  return words.length === 0 ? null : <p class="step-state">Open up first: {words.join(", ")}.</p>;
}

interface Props {
  graft: Graft;
  test: ProveTest;
  state: ProveCondition | undefined;
  title: string;
  before: JSX.Element | null; // what the step before it read
  reading: Reading | undefined;
  practice: number | null; // what the practice meter shows here
  practising: boolean;
  next: () => void;
}

function Entry({ test, practice, practising, saved }: { test: ProveTest; practice: number | null; practising: boolean; saved: (out: boolean) => void }) {
  const [shown, set_shown] = useState<number | null>(null);
  const save = (value: number, unit: string, front: string) => {
    const fate = fate_of(test, { id: "", test: test.id, value, unit });
    void take_reading(test.id, value, unit, front).then((done) => {
      if (done) saved(fate === "out");
    });
  };
  const front = practising ? practised : "";
  return (
    <>
      {practising && (
        <button type="button" disabled={practice === null} onClick={() => set_shown(practice)}>
          Read the practice meter
        </button>
      )}
      <Keypad
        key={`${test.id} ${String(shown)}`}
        test={test}
        given={shown}
        take={(value) => save(value, test.band.unit, front)}
        in_band={() => save(Math.min(test.nominal ?? over_range, over_range), test.band.unit, front + said_in_band)}
        cannot_reach={() => save(0, unreached, front)}
      />
    </>
  );
}

// In the footwell the keypad is one screen further down: what to look for goes along, and one touch leads there.
function ToMeter({ test, go_there }: { test: ProveTest; go_there: () => void }) {
  return (
    <div class="to-meter no-print">
      <span>
        Must show <strong>{band_words(test)}</strong>
      </span>
      <button type="button" class="first" onClick={go_there}>
        Leads are on
      </button>
    </div>
  );
}

export function StepScreen({ graft, test, state, title, before, reading, practice, practising, next }: Props) {
  // The search may ask for a step once more, to see whether it was misread.
  const [again, set_again] = useState(route.value.query.get("again") === "1");
  const fate = fate_of(test, reading);
  const entering = fate === "none" || again;
  const meter = useRef<HTMLDivElement>(null);
  const to_meter = () => {
    meter.current?.scrollIntoView();
    meter.current?.querySelector<HTMLElement>(".keypad")?.focus({ preventScroll: true });
  };
  const saved = (out: boolean) => {
    set_again(false);
    if (!out) next();
  };
  return (
    <section class="sheet step step-test" aria-label={title} tabIndex={-1}>
      <div class="step-head">
        <h2>{title}</h2>
        {before}
      </div>
      <div class="step-where">
        {state && <p class="step-state">{state.words}</p>}
        <ToOpen graft={graft} access={test.access} />
        <p class="step-words">{sentence(test.words)}</p>
        <Probe graft={graft} colour="red" place={test.red_at} />
        <Probe graft={graft} colour="black" place={test.black_at} />
        {entering && <ToMeter test={test} go_there={to_meter} />}
      </div>
      <div class="step-meter" ref={meter}>
        <dl class="meter">
          <div>
            <dt>Meter on</dt>
            <dd>{test.setting}</dd>
          </div>
          <div>
            <dt>Must show</dt>
            <dd>{band_words(test)}</dd>
          </div>
        </dl>
        <Outcome test={test} reading={reading} />
        {fate === "out" && !again && (
          <>
            <p class="caution">Stop here. Do not go on, and do not apply power, until this is found.</p>
            <a class="button first step-next" href={route_to(route.value.graft, "find")}>
              Find the fault
            </a>
          </>
        )}
        {entering ? (
          <Entry test={test} practice={practice} practising={practising} saved={saved} />
        ) : (
          <div class="step-ways">
            <button type="button" onClick={() => set_again(true)}>
              Measure again
            </button>
            <button type="button" class={fate === "out" ? "" : "first"} onClick={next}>
              Next step
            </button>
          </div>
        )}
        <Photos subject={test.id} />
      </div>
    </section>
  );
}
