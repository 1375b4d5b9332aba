// Find: what the readings so far say of what is wrong, and the next measurement worth its minutes.

import type { FindReport, Graft, ProveReport, ProveTest } from "../api_types";
import { prove_path } from "../findings";
import { band_words, fate_of, latest_by_test, sentence } from "../model/proof";
import { with_signs } from "../model/signs";
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
const first_shown = 5;
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

// With a reading out of band, all can be well only if the meter was misread: the row has to say so.
function well_words(out: number): string {
  if (out === 0) return "Nothing, as far as was measured";
  return out === 1 ? "Nothing: the reading out of band was misread" : "Nothing: the readings out of band were misread";
}

function Odds({ report, out }: { report: FindReport; out: number }) {
  const row = (repair: FindReport["repairs"][number]) => (
    <OddsRow key={repair.repair} words={sentence(repair.words)} odds={repair.odds} strong={repair.repair === report.settled} />
  );
  const rest = report.repairs.slice(first_shown, most_shown);
  return (
    <section class="sheet stack" aria-label="What is wrong">
      <h2>What is wrong</h2>
      <ol class="odds">
        <OddsRow words={well_words(out)} odds={report.all_well} strong={false} />
        {report.repairs.slice(0, first_shown).map(row)}
      </ol>
      {rest.length > 0 && (
        <details>
          <summary>The next {rest.length} likeliest</summary>
          <ol class="odds-more">{rest.map(row)}</ol>
        </details>
      )}
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
      <p class="step-words">{sentence(repair.words)}.</p>
      <p>Mend it, measure the same steps again, and say whether this was it: later searches learn from that.</p>
      <div class="buttons">
        <button type="button" class="first" aria-pressed={ticks.has(subject)} onClick={() => void tick(subject, !ticks.has(subject))}>
          {ticks.has(subject) ? "This was it: noted" : "This was it"}
        </button>
      </div>
    </section>
  );
}

// How much of the doubt a measurement is expected to clear, in words that need no figure.
function worth(bits: number, entropy: number): string {
  const share = entropy > 0 ? bits / entropy : 0;
  if (share >= 0.4) return "It is likely to clear about half of the doubt or more.";
  if (share >= 0.2) return "It is likely to clear about a third of the doubt.";
  return share >= 0.08 ? "It is likely to clear about a tenth of the doubt." : "It is likely to clear a little of the doubt.";
}

const minutes_words = (minutes: number): string => (minutes < 1.5 ? "About a minute" : `About ${Math.round(minutes)} minutes`);

interface NextProps {
  one: FindReport["next"][number];
  proof: ProveReport;
  entropy: number;
  first: boolean;
}

function NextTest({ one, proof, entropy, first }: NextProps) {
  const test = proof.tests.find((item) => item.id === one.test);
  const state = proof.conditions.find((item) => item.id === test?.condition);
  if (!test) return null;
  return (
    <li>
      <p class={first ? "step-words" : ""}>{sentence(test.words)}</p>
      {state?.live && <Mark name="damage" word="Power is on for this one" />}
      <p>
        Must show <strong>{band_words(test)}</strong>. {state?.words}
      </p>
      <p class="soft">
        {minutes_words(one.minutes)}. {worth(one.bits, entropy)}
      </p>
      <a class={first ? "button first step-next" : "button"} href={route_to(route.value.graft, "prove", { step: `test:${one.test}`, again: "1" })}>
        Measure it
      </a>
    </li>
  );
}

function Next({ report, proof }: { report: FindReport; proof: ProveReport }) {
  const [best, ...others] = report.next;
  if (report.settled || !best) return null;
  return (
    <section class="sheet stack step" aria-label="Measure next">
      <h2>Measure next</h2>
      <ol class="next-tests">
        <NextTest one={best} proof={proof} entropy={report.entropy_bits} first={true} />
      </ol>
      {others.length > 0 && (
        <details>
          <summary>{others.length === 1 ? "One other" : `${others.length} others`}, if this one is out of reach</summary>
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

function Why({ report, proof }: { report: FindReport; proof: ProveReport }) {
  const words = new Map(proof.faults.map((fault) => [fault.id, fault.words]));
  const list = (excluded: boolean) =>
    report.words
      .filter((one) => one.excluded === excluded)
      .slice(0, most_shown)
      .map((one) => (
        <li key={one.fault}>
          <strong>{sentence(words.get(one.fault) ?? one.fault)}</strong> {with_signs(one.words)}
        </li>
      ));
  const left = list(false);
  const out = list(true);
  if (left.length + out.length === 0) return null;
  return (
    <section class="sheet stack" aria-label="Why">
      <h2>Why</h2>
      {left.length > 0 && (
        <>
          <h3>Still in</h3>
          <ul class="reasons">{left}</ul>
        </>
      )}
      {out.length > 0 && (
        <details>
          <summary>What is out, and which reading said so</summary>
          <ul class="reasons">{out}</ul>
        </details>
      )}
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

function OutOfBand({ out }: { out: ProveTest[] }) {
  if (out.length === 0) return null;
  return (
    <section class="sheet stack" aria-label="Out of band">
      <h2>
        <Mark name="fails" word={`${out.length} out of band`} />
      </h2>
      <ul>
        {out.map((test) => (
          <li key={test.id}>
            <a href={route_to(route.value.graft, "prove", { step: `test:${test.id}` })}>{sentence(test.words)}</a>
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
  const latest = latest_by_test(readings.readings);
  const out = proof.tests.filter((test) => fate_of(test, latest.get(test.id)) === "out");
  return (
    <div class="stack find" data-readings={report.revision % revisions_apart}>
      <PracticeBanner graft={route.value.graft} readings={readings.readings} />
      <Waiting report={report} what="Weighing the readings" />
      {report.value && <Problems list={report.value.problems} title="What the readings do not settle" />}
      {report.value && (
        <div class="beside">
          <div class="stack">
            <Settled report={report.value} proof={proof} />
            <Next report={report.value} proof={proof} />
            <Odds report={report.value} out={out.length} />
          </div>
          <div class="stack">
            <OutOfBand out={out} />
            {readings.readings.length > 0 && <Why report={report.value} proof={proof} />}
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
  const proof = useReport<ProveReport>(path);
  if (!graft || !path) {
    return (
      <Empty title="Nothing to search yet" first="prove">
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
