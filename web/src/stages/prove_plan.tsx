// The whole plan: progress, every step with its reading, what no test detects, and the smallest bad joint that each test
// detects.

import { Fragment } from "preact";
import { useEffect, useRef } from "preact/hooks";
import type { ProveReport, ProveTest } from "../api_types";
import { within } from "../model/plan_time";
import { amount, band_text, has_value, result_of, result_text, type Step, sentence, steps_of } from "../model/proof";
import type { MarkedReading } from "../model/reading";
import { Mark, mark_of_result } from "../parts/mark";

interface Props {
  report: ProveReport;
  latest: ReadonlyMap<string, MarkedReading>;
  at: string;
  pick: (step: Step) => void;
  minutes: number; // at hand
}

function value_text(test: ProveTest, reading: MarkedReading | undefined): string {
  return reading && has_value(reading) ? amount(reading.value, test.band.unit) : "";
}

// A clamp has no second lead.
function leads_text({ red_at, black_at, setting }: ProveTest): string {
  if (black_at.text === "") return `${sentence(red_at.text)}: ${setting}`;
  return `Red on ${red_at.text}, black on ${black_at.text}, meter on ${setting}`;
}

interface StepRowProps {
  test: ProveTest;
  number: number;
  reading: MarkedReading | undefined;
  at: boolean;
  pick: () => void;
}

function StepRow({ test, number, reading, at, pick }: StepRowProps) {
  const result = result_of(test, reading);
  const mark = mark_of_result[result];
  return (
    <tr role="row" class={at ? "at" : ""}>
      <td role="cell" class="plan-number">
        {number}
      </td>
      <td role="cell" class="plan-test">
        <button type="button" class="link-button no-print" aria-current={at ? "step" : undefined} onClick={pick}>
          {sentence(test.text)}
        </button>
        <span class="print-only">{leads_text(test)}</span>
      </td>
      <td role="cell">{band_text(test)}</td>
      <td role="cell" class="read">
        {mark === "none" ? <span class="no-print">{result_text[result]}</span> : <Mark name={mark} text={result_text[result]} />}{" "}
        {value_text(test, reading)}
      </td>
    </tr>
  );
}

export function Progress({ report, latest }: { report: ProveReport; latest: ReadonlyMap<string, MarkedReading> }) {
  const tests = new Map(report.tests.map((test) => [test.id, test]));
  const done = report.plan.filter((id) => latest.has(id)).length;
  const out = report.plan.filter((id) => {
    const test = tests.get(id);
    return test !== undefined && result_of(test, latest.get(id)) === "out_of_band";
  }).length;
  const by = new Map<string, number>();
  for (const reading of latest.values()) by.set(reading.author ?? "someone", (by.get(reading.author ?? "someone") ?? 0) + 1);
  return (
    <div class="stack">
      <p class="plan-progress" data-done={done}>
        <progress max={report.plan.length} value={done} aria-label="Steps done" /> {done} of {report.plan.length} steps done
        {out > 0 && (
          <>
            , <Mark name="fails" text={`${out} out of band`} />
          </>
        )}
        {by.size > 0 && <span class="soft">. Measured by {[...by].map(([name, count]) => `${name} (${count})`).join(", ")}</span>}
      </p>
    </div>
  );
}

// The list scrolls on its own beside the step; it keeps the current step in view.
function use_current_step_in_view(at: string) {
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const row = box.current?.querySelector<HTMLElement>("tr.at");
    if (!box.current || !row || box.current.scrollHeight <= box.current.clientHeight) return;
    box.current.scrollTop = row.offsetTop - box.current.clientHeight / 3;
  }, [at]);
  return box;
}

// Where the time at hand ends.
function BeyondRow({ minutes }: { minutes: number }) {
  return (
    <tr role="row" class="plan-beyond no-print">
      <th role="rowheader" scope="rowgroup" colSpan={4}>
        Beyond {Math.round(minutes)} minutes
      </th>
    </tr>
  );
}

// Roles are explicit: on a narrow screen CSS lays the rows out as a grid, and browsers then drop the table roles.
export function PlanList({ report, latest, at, pick, minutes }: Props) {
  const fit = report.curve.length > 0 ? within(report, minutes).steps : report.plan.length;
  const box = use_current_step_in_view(at);
  const tests = new Map(report.tests.map((test) => [test.id, test]));
  const conditions = new Map(report.conditions.map((condition) => [condition.id, condition]));
  return (
    <section class="sheet stack" aria-label="The plan">
      <h2>The plan</h2>
      <div class="scroll plan-scroll" ref={box} tabIndex={0} role="region" aria-label="Steps">
        <table class="plan" role="table">
          <thead>
            <tr>
              <th scope="col">Step</th>
              <th scope="col">Measurement</th>
              <th scope="col">Must show</th>
              <th scope="col">Reading</th>
            </tr>
          </thead>
          <tbody role="rowgroup">
            {steps_of(report).map((step) => {
              if (step.kind === "condition") {
                return (
                  <tr
                    role="row"
                    key={`condition ${step.id} ${step.number}`}
                    class={at === step.id ? "plan-condition at" : "plan-condition"}
                  >
                    <th role="rowheader" scope="rowgroup" colSpan={4}>
                      <button
                        type="button"
                        class="link-button"
                        aria-current={at === step.id ? "step" : undefined}
                        onClick={() => pick(step)}
                      >
                        {conditions.get(step.id)?.text ?? step.id}
                      </button>
                    </th>
                  </tr>
                );
              }
              const test = tests.get(step.id);
              return (
                test && (
                  <Fragment key={step.id}>
                    {step.number === fit + 1 && <BeyondRow minutes={minutes} />}
                    <StepRow test={test} number={step.number} reading={latest.get(step.id)} at={at === step.id} pick={() => pick(step)} />
                  </Fragment>
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
      <summary>
        {report.unexposed.length} of {report.fault_count} faults are not detected by any test: why, and what would help
      </summary>
      <ul class="reasons">
        {report.unexposed.map((one) => (
          <li key={one.fault}>
            <strong>{one.text}.</strong> {one.why} {one.remedy}
          </li>
        ))}
      </ul>
    </details>
  );
}

export function Joints({ report }: { report: ProveReport }) {
  return (
    <details class="sheet">
      <summary>Bad joints: the smallest added resistance that the plan detects</summary>
      <div class="scroll long" tabIndex={0} role="region" aria-label="Joints">
        <table>
          <thead>
            <tr>
              <th scope="col">Joint</th>
              <th scope="col">Detected from</th>
            </tr>
          </thead>
          <tbody>
            {report.joint_ohms.map((one) => (
              <tr key={one.joint}>
                <td>{one.text || one.joint}</td>
                <td>{one.ohms === null ? "never" : amount(one.ohms, "ohm")}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </details>
  );
}
