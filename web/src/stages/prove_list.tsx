// The whole plan: progress, every step with what it read, what no test exposes, what a bad joint must have to be seen.

import { useEffect, useRef } from "preact/hooks";
import type { ProveReport, ProveTest, Reading } from "../api_types";
import { amount, band_words, fate_of, fate_words, said_in_band, sentence, steps_of, unreached, type Step } from "../model/proof";
import { Mark } from "../parts/mark";

interface Props {
  report: ProveReport;
  latest: ReadonlyMap<string, Reading>;
  at: string;
  pick: (step: Step) => void;
}

function figure(test: ProveTest, reading: Reading | undefined): string {
  if (!reading || reading.unit === unreached || reading.id.startsWith(said_in_band)) return "";
  return amount(reading.value, test.band.unit);
}

function StepRow({ test, number, reading, at, pick }: { test: ProveTest; number: number; reading: Reading | undefined; at: boolean; pick: () => void }) {
  const fate = fate_of(test, reading);
  const mark = fate === "in" ? "holds" : fate === "out" ? "fails" : fate === "unreached" ? "unsure" : "none";
  return (
    <tr role="row" class={at ? "at" : ""}>
      <td role="cell" class="plan-number">{number}</td>
      <td role="cell" class="plan-words">
        <button type="button" class="quiet no-print" aria-current={at ? "step" : undefined} onClick={pick}>
          {sentence(test.words)}
        </button>
        <span class="print-only">
          Red on {test.red_at.words}, black on {test.black_at.words}, meter on {test.setting}
        </span>
      </td>
      <td role="cell">{band_words(test)}</td>
      <td role="cell" class="read">
        {mark === "none" ? <span class="no-print">{fate_words[fate]}</span> : <Mark name={mark} word={fate_words[fate]} />} {figure(test, reading)}
      </td>
    </tr>
  );
}

export function Progress({ report, latest }: { report: ProveReport; latest: ReadonlyMap<string, Reading> }) {
  const tests = new Map(report.tests.map((test) => [test.id, test]));
  const done = report.plan.filter((id) => latest.has(id)).length;
  const out = report.plan.filter((id) => {
    const test = tests.get(id);
    return test !== undefined && fate_of(test, latest.get(id)) === "out";
  }).length;
  const by = new Map<string, number>();
  for (const reading of latest.values()) by.set(reading.author ?? "someone", (by.get(reading.author ?? "someone") ?? 0) + 1);
  return (
    <div class="stack">
      <p>
        <progress max={report.plan.length} value={done} aria-label="Steps done" /> {done} of {report.plan.length} steps done
        {out > 0 && (
          <>
            , <Mark name="fails" word={`${out} out of band`} />
          </>
        )}
        {by.size > 0 && <span class="soft">. Measured by {[...by].map(([name, count]) => `${name} (${count})`).join(", ")}</span>}
      </p>
    </div>
  );
}

// The box scrolls by itself beside the step; the step at hand is kept in its sight.
function use_kept_in_sight(at: string) {
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const row = box.current?.querySelector<HTMLElement>("tr.at");
    if (!box.current || !row || box.current.scrollHeight <= box.current.clientHeight) return;
    box.current.scrollTop = row.offsetTop - box.current.clientHeight / 3;
  }, [at]);
  return box;
}

// Roles are said outright: on a narrow screen the rows are laid out as a grid, and a table so laid out is none to a browser.
export function PlanList({ report, latest, at, pick }: Props) {
  const box = use_kept_in_sight(at);
  const tests = new Map(report.tests.map((test) => [test.id, test]));
  const states = new Map(report.conditions.map((state) => [state.id, state]));
  return (
    <section class="sheet stack" aria-label="The plan">
      <h2>The plan</h2>
      <div class="scroll plan-scroll" ref={box} tabIndex={0} role="region" aria-label="Steps">
        <table class="plan" role="table">
          <thead>
            <tr>
              <th scope="col">Step</th>
              <th scope="col">What is measured</th>
              <th scope="col">Must show</th>
              <th scope="col">Read</th>
            </tr>
          </thead>
          <tbody role="rowgroup">
            {steps_of(report).map((step) => {
              if (step.kind === "state") {
                return (
                  <tr role="row" key={`state ${step.id} ${step.number}`} class={at === step.id ? "plan-state at" : "plan-state"}>
                    <th role="rowheader" scope="rowgroup" colSpan={4}>
                      <button type="button" class="quiet" aria-current={at === step.id ? "step" : undefined} onClick={() => pick(step)}>
                        {states.get(step.id)?.words ?? step.id}
                      </button>
                    </th>
                  </tr>
                );
              }
              const test = tests.get(step.id);
              return (
                test && (
                  <StepRow key={step.id} test={test} number={step.number} reading={latest.get(step.id)} at={at === step.id} pick={() => pick(step)} />
                )
              );
            })}
          </tbody>
        </table>
      </div>
    </section>
  );
}

export function Unexposed({ report }: { report: ProveReport }) {
  if (report.unexposed.length === 0) return null;
  return (
    <details class="sheet">
      <summary>No test exposes {report.unexposed.length} of {report.faults.length} mistakes: why, and what would help</summary>
      <ul class="reasons">
        {report.unexposed.map((one) => (
          <li key={one.fault}>
            <strong>{one.words}.</strong> {one.why} {one.remedy}
          </li>
        ))}
      </ul>
    </details>
  );
}

export function Joints({ report }: { report: ProveReport }) {
  return (
    <details class="sheet">
      <summary>The least bad joint that this plan would notice, joint by joint</summary>
      <div class="scroll long" tabIndex={0} role="region" aria-label="Joints">
        <table>
          <thead>
            <tr>
              <th scope="col">Joint</th>
              <th scope="col">Noticed from</th>
            </tr>
          </thead>
          <tbody>
            {report.joint_ohms.map((one) => (
              <tr key={one.joint}>
                <td>{one.words || one.joint}</td>
                <td>{one.ohms === null ? "never" : amount(one.ohms, "ohm")}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </details>
  );
}
