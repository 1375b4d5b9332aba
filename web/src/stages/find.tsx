// Find: what the readings so far say about what is wrong, and which measurement is worth doing next.

import type { FindReport, ProveReport, ProveTest, Symptoms } from "../api_types";
import { prove_path } from "../findings";
import { amount, band_text, latest_by_test, result_of, sentence, step_key } from "../model/proof";
import { doc } from "../net/graft";
import { use_readings } from "../net/readings";
import { use_report } from "../net/report";
import { set_tick, use_ticks } from "../net/ticks";
import { Bar } from "../parts/bar";
import { Select } from "../parts/field";
import { Mark } from "../parts/mark";
import { Problems } from "../parts/problems";
import { Empty, ReportStatus } from "../parts/report_status";
import { practice_query } from "../practice_readings";
import { route, route_to, select } from "../route";
import { hidden_fault, PracticeBanner, readings_in_use } from "./practice";

const most_shown = 12;
const first_shown = 5;
const percent = (share: number) => `${(100 * share).toFixed(share >= 0.1 ? 0 : 1)} %`;

function ProbabilityRow({ text, probability, strong }: { text: string; probability: number; strong: boolean }) {
  return (
    <li class={strong ? "probability-row isolated" : "probability-row"}>
      <span>{text}</span>
      <span class="probability-figure">{percent(probability)}</span>
      <Bar share={probability} />
    </li>
  );
}

// With a reading out of band there can be no fault only if the meter was misread: the row has to say so.
function no_fault_text(out: number): string {
  if (out === 0) return "No fault, as far as was measured";
  return out === 1 ? "No fault: the reading out of band was misread" : "No fault: the readings out of band were misread";
}

function Probabilities({ report, out }: { report: FindReport; out: number }) {
  const row = ({ repair, text, odds }: FindReport["repairs"][number]) => (
    <ProbabilityRow key={repair} text={sentence(text)} probability={odds} strong={repair === report.isolated} />
  );
  const rest = report.repairs.slice(first_shown, most_shown);
  return (
    <section class="sheet stack" aria-label="What is wrong">
      <h2>What is wrong</h2>
      <ol class="probabilities">
        <ProbabilityRow text={no_fault_text(out)} probability={report.no_fault} strong={false} />
        {report.repairs.slice(0, first_shown).map(row)}
      </ol>
      {rest.length > 0 && (
        <details>
          <summary>The next {rest.length} in order of probability</summary>
          <ol class="probabilities-more">{rest.map(row)}</ol>
        </details>
      )}
    </section>
  );
}

function IsolatedFault({ report, proof, practising }: { report: FindReport; proof: ProveReport; practising: boolean }) {
  const ticks = use_ticks();
  const repair = report.repairs.find((one) => one.repair === report.isolated);
  const fault = proof.faults.find((one) => one.id === repair?.faults[0]);
  if (!repair || !fault) return null;
  const subject = fault.confirm_subject;
  const confirmed = ticks.has(subject);
  return (
    <section class="sheet stack isolated" aria-label="Found">
      <h2>
        <Mark name="passes" text={`Found: ${percent(repair.odds)} certain`} />
      </h2>
      <p class="step-text">{sentence(repair.text)}.</p>
      {practising ? (
        <p>This is what the practice readings show. Nothing was measured, so there is nothing to confirm.</p>
      ) : (
        <>
          <p>Repair it and measure the same steps again. Then confirm whether this was the fault: later searches learn from that.</p>
          <div class="buttons">
            <button type="button" class="primary" aria-pressed={confirmed} onClick={() => void set_tick(subject, !confirmed, repair.text)}>
              {confirmed ? "This was the fault: confirmed" : "This was the fault"}
            </button>
          </div>
        </>
      )}
    </section>
  );
}

// How much of the remaining uncertainty a measurement is expected to remove, without a figure.
function benefit_text(bits: number, entropy: number): string {
  const share = entropy > 0 ? bits / entropy : 0;
  if (share >= 0.4) return "It should remove about half of the uncertainty or more.";
  if (share >= 0.2) return "It should remove about a third of the uncertainty.";
  return share >= 0.08 ? "It should remove about a tenth of the uncertainty." : "It should remove a little of the uncertainty.";
}

const minutes_text = (minutes: number): string => (minutes < 1.5 ? "About a minute" : `About ${Math.round(minutes)} minutes`);

const again_text: Record<FindReport["next"][number]["reason"], string> = {
  information: "",
  "readings-differ": "Measure this once more: its readings contradict each other. The latest two that agree count.",
  repeat: "Measure this once more: what is likely depends on this one reading.",
};

interface NextProps {
  one: FindReport["next"][number];
  proof: ProveReport;
  entropy: number;
  first: boolean;
}

function NextTest({ one, proof, entropy, first }: NextProps) {
  const test = proof.tests.find((item) => item.id === one.test);
  const condition = proof.conditions.find((item) => item.id === test?.condition);
  if (!test) return null;
  return (
    <li>
      <p class={first ? "step-text" : ""}>{sentence(test.text)}</p>
      {again_text[one.reason] && <p>{again_text[one.reason]}</p>}
      {condition?.live && <Mark name="damage" text="Power is on for this measurement" />}
      <p>
        Must show <strong>{band_text(test)}</strong>. {condition?.text}
      </p>
      <p class="soft">
        {minutes_text(one.minutes)}. {benefit_text(one.bits, entropy)}
      </p>
      <a
        class={first ? "button primary step-next" : "button"}
        href={route_to(route.value.graft, "prove", { step: step_key({ kind: "test", id: one.test }), again: "1" })}
      >
        Measure it
      </a>
    </li>
  );
}

function Next({ report, proof }: { report: FindReport; proof: ProveReport }) {
  const [best, ...others] = report.next;
  if (report.isolated || !best) return null;
  return (
    <section class="sheet stack step" aria-label="Measure next">
      <h2>Measure next</h2>
      <ol class="next-tests">
        <NextTest one={best} proof={proof} entropy={report.entropy_bits} first={true} />
      </ol>
      {others.length > 0 && (
        <details>
          <summary>{others.length === 1 ? "Another one" : `${others.length} others`}, if you cannot reach this one</summary>
          <ol class="next-tests">
            {others.map((one) => (
              <NextTest key={one.test} one={one} proof={proof} entropy={report.entropy_bits} first={false} />
            ))}
          </ol>
        </details>
      )}
    </section>
  );
}

// No reading tells the likeliest repairs apart, or none is worth its minutes: the hands go on.
function BeginWith({ report, out }: { report: FindReport; out: number }) {
  const [first, ...others] = report.repairs;
  if (report.isolated || report.next.length > 0 || out === 0 || !first) return null;
  const alike = others.filter((one) => one.odds >= first.odds / 2).length;
  return (
    <section class="sheet stack begin-with" aria-label="Begin with the likeliest">
      <h2>No further reading tells more</h2>
      <p class="step-text">{sentence(first.text)}.</p>
      <p>
        {alike > 0
          ? `${alike + 1} repairs show about the same to every probe. Begin with the first, and measure the steps that are out of band again after each.`
          : `It is the likeliest by far (${percent(first.odds)}). Do it, and measure the steps that are out of band again.`}
      </p>
    </section>
  );
}

function Why({ report, proof }: { report: FindReport; proof: ProveReport }) {
  const fault_text = new Map(proof.faults.map((fault) => [fault.id, fault.text]));
  const list = (excluded: boolean) =>
    report.fault_notes
      .filter((one) => one.excluded === excluded)
      .slice(0, most_shown)
      .map((one) => (
        <li key={one.fault}>
          <strong>{sentence(fault_text.get(one.fault) ?? one.fault)}</strong> {one.text}
        </li>
      ));
  const possible = list(false);
  const ruled_out = list(true);
  if (possible.length + ruled_out.length === 0) return null;
  return (
    <section class="sheet stack" aria-label="Why">
      <h2>Why</h2>
      {possible.length > 0 && (
        <>
          <h3>Still possible</h3>
          <ul class="reasons">{possible}</ul>
        </>
      )}
      {ruled_out.length > 0 && (
        <details>
          <summary>Ruled out, and by which reading</summary>
          <ul class="reasons">{ruled_out}</ul>
        </details>
      )}
    </section>
  );
}

function Learnt({ report }: { report: FindReport }) {
  const off = route.value.query.get("learn") === "off";
  return (
    <section class="sheet stack" aria-label="Learnt from other grafts">
      <label class="tickbox">
        <input type="checkbox" checked={!off} onChange={() => select({ learn: off ? "" : "off" })} /> Learn from the faults that were
        confirmed in this workshop's other grafts
      </label>
      {report.learnt.length > 0 ? (
        <ul>
          {report.learnt.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
      ) : (
        <p class="soft">{off ? "Switched off." : "No fault was confirmed in them yet."}</p>
      )}
    </section>
  );
}

// Tests whose readings contradict each other, and what counts.
function Differing({ report, proof }: { report: FindReport; proof: ProveReport }) {
  if (report.differing.length === 0) return null;
  return (
    <section class="sheet stack" aria-label="Readings that differ">
      <h2>Readings that differ</h2>
      <ul>
        {report.differing.map((one) => {
          const test = proof.tests.find((item) => item.id === one.test);
          if (!test) return null;
          const shown = (value: number) => amount(value, test.band.unit);
          return (
            <li key={one.test}>
              {sentence(test.text)}: {one.values.map(shown).join(", ")}.{" "}
              {one.unsteady
                ? "It comes and goes: move the loom while measuring."
                : one.taken === null
                  ? "Measure it once more."
                  : `${shown(one.taken)} counts: the latest two agree.`}
            </li>
          );
        })}
      </ul>
    </section>
  );
}

// What was noticed before measuring. The list holds only what a fault of this loom can cause.
function Symptom() {
  const list = use_report<Symptoms>("/reports/symptoms");
  const chosen = route.value.query.get("symptom") ?? "";
  const choices = (list.value?.symptoms ?? []).map((one) => [one.id, sentence(one.text)] as const);
  return (
    <section class="sheet stack" aria-label="Symptom">
      <h2>Start from a symptom</h2>
      <ReportStatus report={list} what="Working out the symptoms" />
      <Select
        label="What was noticed"
        value={chosen}
        choices={[["", "Nothing in particular"], ...choices]}
        take={(id) => select({ symptom: id })}
      />
    </section>
  );
}

function OutOfBand({ out }: { out: ProveTest[] }) {
  if (out.length === 0) return null;
  return (
    <section class="sheet stack" aria-label="Out of band">
      <h2>
        <Mark name="fails" text={`${out.length} out of band`} />
      </h2>
      <ul>
        {out.map((test) => (
          <li key={test.id}>
            <a href={route_to(route.value.graft, "prove", { step: step_key({ kind: "test", id: test.id }) })}>{sentence(test.text)}</a>
          </li>
        ))}
      </ul>
    </section>
  );
}

function Ready({ proof }: { proof: ProveReport }) {
  const readings = use_readings();
  const practising = hidden_fault(route.value.graft) !== "";
  const used = readings_in_use(route.value.graft, readings.readings);
  const symptom = route.value.query.get("symptom") ?? "";
  const query = [
    route.value.query.get("learn") === "off" ? "learn=off" : "",
    symptom ? `symptom=${encodeURIComponent(symptom)}` : "",
    practising ? `practice=${practice_query(proof, used)}` : "",
  ]
    .filter(Boolean)
    .join("&");
  const report = use_report<FindReport>(`/reports/find${query ? `?${query}` : ""}`, { readings: readings.saved });
  const latest = latest_by_test(used);
  const out = proof.tests.filter((test) => result_of(test, latest.get(test.id)) === "out_of_band");
  return (
    <div class="stack find" data-readings={practising ? used.length : report.version.readings}>
      <PracticeBanner graft={route.value.graft} readings={readings.readings} />
      <ReportStatus report={report} what="Evaluating the readings" />
      {report.value && <Problems list={report.value.problems} title="What the readings cannot decide" />}
      {report.value && (
        <div class="columns-two">
          <div class="stack">
            <IsolatedFault report={report.value} proof={proof} practising={practising} />
            <Next report={report.value} proof={proof} />
            <BeginWith report={report.value} out={out.length} />
            <Probabilities report={report.value} out={out.length} />
          </div>
          <div class="stack">
            <Symptom />
            <Differing report={report.value} proof={proof} />
            <OutOfBand out={out} />
            {used.length > 0 && <Why report={report.value} proof={proof} />}
            <Learnt report={report.value} />
          </div>
        </div>
      )}
    </div>
  );
}

export function Find() {
  const graft = doc.value;
  const path = graft ? prove_path(graft) : null;
  const proof = use_report<ProveReport>(path);
  if (!graft || !path) {
    return (
      <Empty title="Nothing to search yet" first="prove">
        <p>When there is a plan with wires, and some readings (Prove), this page shows what is probably wrong and what to measure next.</p>
      </Empty>
    );
  }
  return (
    <>
      <ReportStatus report={proof} what="Planning the measurements" />
      {proof.value && <Ready proof={proof.value} />}
    </>
  );
}
