// One measurement on one screen: where the leads go, the faces with the cavity highlighted, setting, band, keypad.

import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import type { Graft, ProbePoint, ProveCondition, ProveTest } from "../api_types";
import { draft_of, drop_draft } from "../drafts";
import { connector_name, part_name } from "../model/document";
import { in_band_value, is_set_for, value_by_itself } from "../model/meter_reading";
import { amount, band_text, has_value, over_range, result_of, result_text, sentence, step_key, unreached } from "../model/proof";
import type { MarkedReading } from "../model/reading";
import { spoken_step } from "../model/spoken_step";
import { page_id, use_meter } from "../net/meter";
import { add_reading } from "../net/readings";
import { Drawing } from "../parts/drawing";
import { Help } from "../parts/help";
import { Mark, mark_of_result } from "../parts/mark";
import { route, route_to } from "../route";
import { meter_by_itself } from "../settings";
import { sound_result, speak } from "../speech";
import { face_path, narrow } from "./compare_face";
import { Keypad } from "./prove_keypad";
import { MeterPanel } from "./prove_meter";
import { Photos } from "./prove_photos";

export function probe_face(point: ProbePoint): string | null {
  if (point.side === "") return null;
  return face_path(point.at, point.side, { cavity: point.cavity, show: "planned", width: narrow() ? "70" : "90" });
}

const lead_names = { red: "Red lead", black: "Black lead", clamp: "Clamp" } as const;

function Probe({ graft, colour, point }: { graft: Graft; colour: keyof typeof lead_names; point: ProbePoint }) {
  const connector = graft.connectors?.find((one) => one.id === point.at);
  const face = probe_face(point);
  return (
    <div class={`probe probe-${colour}`}>
      <p>
        <strong>{lead_names[colour]}</strong> {point.text}
      </p>
      {connector && face && (
        <Drawing
          path={face}
          label={`${connector_name(connector)}, cavity ${point.cavity} highlighted`}
          part="data-cavity"
          highlighted={[point.cavity]}
        />
      )}
    </div>
  );
}

function Result({ test, reading }: { test: ProveTest; reading: MarkedReading }) {
  const result = result_of(test, reading);
  const value = reading.in_band_only ? "no value" : has_value(reading) ? amount(reading.value, test.band.unit) : "";
  return (
    <>
      <Mark name={mark_of_result[result]} text={result_text[result]} /> {value}
      {reading.practice && " (practice)"}
    </>
  );
}

function LatestReading({ test, reading }: { test: ProveTest; reading: MarkedReading | undefined }) {
  if (!reading) return null;
  return (
    <p class="step-result" data-result={result_of(test, reading)} role="status">
      <Result test={test} reading={reading} />
      {reading.author ? ` by ${reading.author}` : ""}
    </p>
  );
}

// The last reading stays visible for one more screen: a wrong key is noticed while the leads are still at hand.
export function StepBefore({ test, number, reading }: { test: ProveTest; number: number; reading: MarkedReading | undefined }) {
  if (!reading) return null;
  return (
    <p class="step-before" data-step={number} data-result={result_of(test, reading)}>
      Step {number}: <Result test={test} reading={reading} />
    </p>
  );
}

// A person who has it open already reads on.
function ToOpen({ graft, access }: { graft: Graft; access: string[] }) {
  const places = access.map((id) => {
    const place = graft.places?.find((one) => one.id === id);
    return `${place?.name || id} (${place?.access_min ?? 0} min)`;
  });
  return places.length === 0 ? null : <p class="step-condition-text">Open up first: {places.join(", ")}.</p>;
}

// A half-typed reading is kept under this name.
const draft_field = (test: ProveTest, practising: boolean) => `${practising ? "practice" : "reading"}.${test.id}`;

// What the practice meter showed, and a person may correct.
const shown_field = (test: ProveTest, given: number | null) => `shown.${test.id}.${String(given)}`;

interface EntryProps {
  test: ProveTest;
  condition: string; // what has to be unplugged and switched off
  practice: number | null;
  practising: boolean;
  saved: (out_of_band: boolean) => void;
}

// Nothing is measured where a person practises. Once per step: a value that is being saved is not saved again.
function use_meter_value(test: ProveTest, practising: boolean, save: (value: number) => void) {
  const name = route.value.graft;
  const meter = use_meter(name, test.id, !practising);
  const taken = useRef(false);
  const ours = meter !== null && is_set_for(meter, name, test, page_id) && meter.state === "ready" && test.black_at.text !== "";
  const value = ours && meter_by_itself.value ? value_by_itself(meter) : null;
  useEffect(() => {
    if (value === null || taken.current) return;
    taken.current = true;
    save(value);
  }, [value]);
  return { meter, in_band: ours ? in_band_value(meter, test) : null };
}

function Entry({ test, condition, practice, practising, saved }: EntryProps) {
  const [given, set_given] = useState<number | null>(null);
  const saving = useRef(false);
  const save = (value: number, unit: string, in_band_only: boolean) => {
    if (saving.current) return;
    saving.current = true;
    const result = result_of(test, { value, unit });
    const name = route.value.graft;
    void add_reading(test.id, value, unit, { practice: practising, in_band_only }).then((done) => {
      saving.current = false;
      if (!done) return;
      drop_draft(name, draft_field(test, practising));
      drop_draft(name, shown_field(test, given));
      saved(result === "out_of_band");
    });
    if (unit !== unreached) sound_result(result === "in_band");
  };
  const save_value = (value: number) => save(value, test.band.unit, false);
  const { meter, in_band } = use_meter_value(test, practising, save_value);
  return (
    <>
      {meter && <MeterPanel meter={meter} test={test} condition={condition} save={save_value} />}
      {practising && (
        <button type="button" class="practice-meter" disabled={practice === null} onClick={() => set_given(practice)}>
          Read the practice meter
        </button>
      )}
      <Keypad
        key={`${test.id} ${String(given)}`}
        test={test}
        draft={given === null ? draft_field(test, practising) : shown_field(test, given)}
        given={given}
        meter_value={in_band}
        save={save_value}
        save_in_band={() => save(Math.min(test.nominal ?? over_range, over_range), test.band.unit, true)}
        save_unreached={() => save(0, unreached, false)}
      />
    </>
  );
}

// In the footwell the keypad is one screen further down. This bar stays in view, says what to look for and leads there.
function ToKeypad({ test, go_there }: { test: ProveTest; go_there: () => void }) {
  return (
    <div class="to-keypad no-print">
      <span>
        Must show <strong>{band_text(test)}</strong>
      </span>
      <button type="button" class="primary" onClick={go_there}>
        Leads are on
      </button>
    </div>
  );
}

interface Props {
  graft: Graft;
  test: ProveTest;
  condition: ProveCondition | undefined;
  number: number; // in the plan, from 1; 0: not in the plan
  title: string;
  before: JSX.Element | null; // the reading of the step before
  reading: MarkedReading | undefined;
  practice: number | null; // what the practice meter shows here
  practising: boolean;
  next: () => void;
}

export function StepScreen({ graft, test, condition, number, title, before, reading, practice, practising, next }: Props) {
  // The search may ask for the same step again, to see whether the meter was misread.
  const [again, set_again] = useState(
    () => route.value.query.get("again") === "1" || draft_of(route.value.graft, draft_field(test, practising), {}) !== null,
  );
  const result = result_of(test, reading);
  const out_of_band = result === "out_of_band";
  const entering = result === "to_do" || again;
  const meter = useRef<HTMLDivElement>(null);
  const to_keypad = () => {
    meter.current?.scrollIntoView();
    meter.current?.querySelector<HTMLElement>(".keypad")?.focus({ preventScroll: true });
  };
  const is_clamp = test.black_at.text === "";
  useEffect(() => speak(spoken_step(test, (id) => part_name(graft, id))), [test.id]);
  const saved = (out: boolean) => {
    set_again(false);
    if (!out) next();
  };
  return (
    <section
      class="sheet step step-test"
      aria-label={title}
      tabIndex={-1}
      data-key={step_key({ kind: "test", id: test.id })}
      data-step={number}
    >
      <div class="step-head">
        <h2>{title}</h2>
        {before}
      </div>
      <div class="step-where">
        {condition && <p class="step-condition-text">{condition.text}</p>}
        <ToOpen graft={graft} access={test.access} />
        <p class="step-text">{sentence(test.text)}</p>
        <Probe graft={graft} colour={is_clamp ? "clamp" : "red"} point={test.red_at} />
        {!is_clamp && <Probe graft={graft} colour="black" point={test.black_at} />}
        {entering && <ToKeypad test={test} go_there={to_keypad} />}
      </div>
      <div class="step-meter" ref={meter}>
        <dl class="meter">
          <div>
            <dt>Meter setting</dt>
            <dd>{test.setting}</dd>
          </div>
          <div>
            <dt>
              Must show <Help word="band" />
            </dt>
            <dd>{band_text(test)}</dd>
          </div>
        </dl>
        <LatestReading test={test} reading={reading} />
        {out_of_band && !again && (
          <>
            <p class="caution">Stop here. Do not go on, and do not switch power on, until the fault is found.</p>
            <a class="button primary step-next" href={route_to(route.value.graft, "find")}>
              Find the fault
            </a>
          </>
        )}
        {entering ? (
          <Entry test={test} condition={condition?.text ?? ""} practice={practice} practising={practising} saved={saved} />
        ) : (
          <div class="step-buttons">
            <button type="button" onClick={() => set_again(true)}>
              Measure again
            </button>
            <button type="button" class={out_of_band ? "" : "primary"} onClick={next}>
              Next step
            </button>
          </div>
        )}
        <Photos subject={test.id} about={test.text} />
      </div>
    </section>
  );
}
