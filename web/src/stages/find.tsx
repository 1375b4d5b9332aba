// Find: what the readings so far say of what is wrong, and the next measurement worth its minutes.

import type { FindReport, Graft, ProveReport } from "../api_types";
import { prove_path } from "../findings";
import { band_words, latest_by_test, fate_of } from "../model/proof";
import { doc } from "../net/graft";
import { use_readings } from "../net/readings";
import { revisions_apart, useReport } from "../net/report";
import { tick, use_ticks } from "../net/ticks";
import { Bar } from "../parts/bar";
import { Mark } from "../parts/mark";
import { Problems } from "../parts/problems";
import { Empty, Waiting } from "../parts/waiting";
import { route, route_to, select } from "../route";
import { PracticeBanner } from "./practice";

const most_shown = 12;
const percent = (odds: number) => `${(100 * odds).toFixed(odds >= 0.1 ? 0 : 1)} %`;

function OddsRow({ words, odds, strong }: { words: string; odds: number; strong: boolean }) {
  return (
    <li class={strong ? "odds-row settled" : "odds-row"}>
      <span>{words}</span>
      <span class="odds-figure">{percent(odds)}</span>
      <Bar share={odds} />
    </li>
  );
}

function Odds({ report }: { report: FindReport }) {
  return (
    <section class="sheet stack" aria-label="What is wrong">
      <h2>What is wrong</h2>
      <ol class="odds">
        <OddsRow words="Nothing, as far as was measured" odds={report.all_well} strong={false} />
        {report.repairs.slice(0, most_shown).map((repair) => (
          <OddsRow key={repair.repair} words={repair.words} odds={repair.odds} strong={repair.repair === report.settled} />
        ))}
      </ol>
    </section>
  );
}

function Settled({ report, proof }: { report: FindReport; proof: ProveReport }) {
  const ticks = use_ticks();
  const repair = report.repairs.find((one) => one.repair === report.settled);
  const fault = proof.faults.find((one) => one.id === repair?.faults[0]);
  if (!repair || !fault) return null;
  const subject = `fault:${fault.kind}:${fault.id}`;
  return (
    <section class="sheet stack settled" aria-label="Found">
      <h2>
        <Mark name="holds" word={`Found, at odds of ${percent(repair.odds)}`} />
      </h2>
      <p class="step-words">{repair.words}.</p>
      <p>Mend it, measure the same steps again, and say whether this was it: later searches learn from that.</p>
      <div class="buttons">
        <button type="button" class="first" aria-pressed={ticks.has(subject)} onClick={() => void tick(subject, !ticks.has(subject))}>
          {ticks.has(subject) ? "This was it: noted" : "This was it"}
        </button>
      </div>
    </section>
  );
}

function Next({ report, proof }: { report: FindReport; proof: ProveReport }) {
  const tests = new Map(proof.tests.map((test) => [test.id, test]));
  const states = new Map(proof.conditions.map((state) => [state.id, state]));
  if (report.settled || report.next.length === 0) return null;
  return (
    <section class="sheet stack" aria-label="Measure next">
      <h2>Measure next</h2>
      <ol class="next-tests">
        {report.next.map((one, index) => {
          const test = tests.get(one.test);
          if (!test) return null;
          return (
            <li key={one.test}>
              <p>
                <strong>{test.words}</strong>, must show {band_words(test)}
                {states.get(test.condition)?.live ? " (power on)" : ""}
              </p>
              <p class="soft">
                {states.get(test.condition)?.words} Tells {one.bits.toFixed(2)} bits in {one.minutes.toFixed(1)} minutes.
              </p>
              <a class={index === 0 ? "button first" : "button"} href={route_to(route.value.graft, "prove", { step: `test:${one.test}`, again: "1" })}>
                Measure it
              </a>
            </li>
          );
        })}
      </ol>
    </section>
  );
}

function Why({ report, proof }: { report: FindReport; proof: ProveReport }) {
  const words = new Map(proof.faults.map((fault) => [fault.id, fault.words]));
  const list = (excluded: boolean) =>
    report.words
      .filter((one) => one.excluded === excluded)
      .slice(0, most_shown)
      .map((one) => (
        <li key={one.fault}>
          <strong>{words.get(one.fault) ?? one.fault}</strong> {one.words}
        </li>
      ));
  return (
    <section class="sheet stack" aria-label="Why">
      <h2>Why</h2>
      <h3>Still in</h3>
      <ul>{list(false)}</ul>
      <details>
        <summary>What is out, and which reading said so</summary>
        <ul>{list(true)}</ul>
      </details>
    </section>
  );
}

function Learnt({ report }: { report: FindReport }) {
  const off = route.value.query.get("learn") === "off";
  return (
    <section class="sheet stack" aria-label="Odds learnt">
      <label class="tickbox">
        <input type="checkbox" checked={!off} onChange={() => select({ learn: off ? "" : "off" })} /> Let what was found in this workshop's other grafts
        shift the odds
      </label>
      {report.learnt.length > 0 ? (
        <ul>
          {report.learnt.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
      ) : (
        <p class="soft">{off ? "Switched off." : "Nothing was confirmed in them yet."}</p>
      )}
    </section>
  );
}

function OutOfBand({ proof }: { proof: ProveReport }) {
  const { readings } = use_readings();
  const latest = latest_by_test(readings);
  const out = proof.tests.filter((test) => fate_of(test, latest.get(test.id)) === "out");
  if (out.length === 0) return null;
  return (
    <section class="sheet stack" aria-label="Out of band">
      <h2>
        <Mark name="fails" word={`${out.length} out of band`} />
      </h2>
      <ul>
        {out.map((test) => (
          <li key={test.id}>
            <a href={route_to(route.value.graft, "prove", { step: `test:${test.id}` })}>{test.words}</a>
          </li>
        ))}
      </ul>
    </section>
  );
}

function Ready({ proof }: { graft: Graft; proof: ProveReport }) {
  const readings = use_readings();
  const learn = route.value.query.get("learn") === "off" ? "?learn=off" : "";
  const report = useReport<FindReport>(`/reports/find${learn}`, 0, readings.stamp);
  return (
    <div class="stack find" data-readings={report.revision % revisions_apart}>
      <PracticeBanner graft={route.value.graft} readings={readings.readings} />
      <Waiting report={report} what="Weighing the readings" />
      {report.value && (
        <div class="beside">
          <div class="stack">
            <Settled report={report.value} proof={proof} />
            <Odds report={report.value} />
            <Next report={report.value} proof={proof} />
          </div>
          <div class="stack">
            <OutOfBand proof={proof} />
            {readings.readings.length > 0 && <Why report={report.value} proof={proof} />}
            <Learnt report={report.value} />
            <Problems list={report.value.problems} title="Readings that do not count" />
          </div>
        </div>
      )}
    </div>
  );
}

export function Find() {
  const graft = doc.value;
  const path = graft ? prove_path(graft) : null;
  const proof = useReport<ProveReport>(path);
  if (!graft || !path) {
    return (
      <Empty title="Nothing to search yet">
        <p>Once there is a plan with wires and some readings (Prove), the odds of what is wrong and the next measurement stand here.</p>
      </Empty>
    );
  }
  return (
    <>
      <Waiting report={proof} what="Planning the measurements" />
      {proof.value && <Ready graft={graft} proof={proof.value} />}
    </>
  );
}
