// Prove: the plan of measurements. In the footwell one step a screen, on the bench the whole plan beside the step.

import type { ComponentChildren } from "preact";
import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import type { Graft, ProveReport } from "../api_types";
import { open_dialog } from "../dialogs";
import { prove_path } from "../findings";
import { first_open_step, latest_by_test, type Step, step_key, steps_of } from "../model/proof";
import type { MarkedReading } from "../model/reading";
import { count_of, counts_text } from "../model/waiting_text";
import { doc } from "../net/graft";
import { type Readings, use_readings } from "../net/readings";
import { use_report } from "../net/report";
import { use_ticks } from "../net/ticks";
import { can_store, refused, waiting_for } from "../net/waiting";
import { fetch_ahead } from "../parts/drawing";
import { black_ink, PrintButton } from "../parts/print";
import { Problems } from "../parts/problems";
import { Empty, ReportStatus } from "../parts/report_status";
import { use_wake_lock } from "../parts/wake_lock";
import { route, select } from "../route";
import { narrow } from "./compare_face";
import { hidden_fault, hide_fault, PracticeBanner, practice_fault, readings_in_use, use_practice } from "./practice";
import { ConditionScreen } from "./prove_condition";
import { ConfirmList, ConfirmScreen, unconfirmed } from "./prove_confirm";
import { ProofMatrix } from "./prove_matrix";
import { Joints, PlanList, Progress, Unexposed } from "./prove_plan";
import { probe_face, StepBefore, StepScreen } from "./prove_step";
import { TestPlugs } from "./prove_test_plug";
import { PlanTime } from "./prove_time";

function SendState({ readings, graft }: { readings: Readings; graft: string }) {
  const row = waiting_for(graft);
  const count = row ? count_of(row) : 0;
  const not_taken = refused.value.filter((stored) => stored.graft === graft).length;
  return (
    <div class="send-state" role="status" data-pending={readings.pending} data-waits={count}>
      {!row && "Everything entered here is saved on the workbench computer. "}
      {row && `${counts_text(row)} ${count === 1 ? "is" : "are"} stored in this browser on this device and not sent yet. `}
      {row?.reason && `Not taken now: ${row.reason} `}
      {!can_store.value && "This browser cannot store readings: a reading is lost if there is no connection. "}
      {not_taken > 0 && (
        <span class="danger-text">{not_taken === 1 ? "1 entry was not taken." : `${not_taken} entries were not taken.`} </span>
      )}
      {count + not_taken > 0 && (
        <button type="button" class="no-print" onClick={() => (open_dialog.value = "waiting")}>
          What waits
        </button>
      )}
    </div>
  );
}

interface SummaryProps {
  graft: string;
  open: Graft;
  report: ProveReport;
  latest: ReadonlyMap<string, MarkedReading>;
}

function Summary({ graft, open, report, latest }: SummaryProps) {
  const start_practice = () => {
    hide_fault(graft, practice_fault(report, open));
    window.scrollTo(0, 0);
  };
  return (
    <section class="sheet stack" aria-label="Summary">
      <p>
        {report.plan.length} measurements, about {Math.round(report.plan_minutes)} minutes, detect{" "}
        {report.fault_count - report.unexposed.length} of {report.fault_count} single faults.{" "}
        {report.optimal ? "No plan takes less time." : `No plan takes less than ${Math.round(report.bound_minutes)} minutes.`}
      </p>
      <Progress report={report} latest={latest} />
      {report.refused.map((text) => (
        <p key={text} class="caution">
          {text}
        </p>
      ))}
      <div class="buttons no-print">
        <PrintButton what="this plan" />
        {!hidden_fault(graft) && (
          <button type="button" onClick={start_practice}>
            Practise on a loom with a hidden fault
          </button>
        )}
      </div>
    </section>
  );
}

// The next step is shown from its top. At the keypad of the last step a person would enter a reading before moving the leads.
function use_scroll_to_top(key: string): void {
  const shown = useRef(key);
  useEffect(() => {
    if (shown.current === key) return;
    shown.current = key;
    window.scrollTo(0, 0);
    document.querySelector<HTMLElement>(".step")?.focus({ preventScroll: true });
  }, [key]);
}

// In the footwell one action a screen: the rest is folded.
function WholePlan({ children }: { children: ComponentChildren }) {
  if (!narrow() || black_ink.value) return <div class="stack">{children}</div>;
  return (
    <details class="whole-plan">
      <summary>Whole plan, practice and printing</summary>
      <div class="stack">{children}</div>
    </details>
  );
}

// The faces of all steps, so that the plan can be worked through without a connection.
function use_faces(report: ProveReport): void {
  useEffect(() => {
    const tests = report.plan.flatMap((id) => report.tests.filter((test) => test.id === id));
    const faces = tests.flatMap((test) => [probe_face(test.red_at), probe_face(test.black_at)]);
    for (const path of new Set(faces)) if (path) fetch_ahead(path);
  }, [report]);
}

function AllDone() {
  return (
    <section class="sheet" aria-label="Done" data-all-done>
      <h2>Every step has a reading</h2>
      <p>Steps out of band are marked in the plan. “Find the fault” says what they mean.</p>
    </section>
  );
}

function Ready({ graft, report, readings }: { graft: Graft; report: ProveReport; readings: Readings }) {
  const name = route.value.graft;
  const ticks = use_ticks();
  const practice = use_practice(name);
  const steps = steps_of(report);
  const practising = hidden_fault(name) !== "";
  const latest = useMemo(
    () => latest_by_test(readings_in_use(name, readings.readings)),
    [readings.readings.length, readings.saved, practising],
  );
  const wanted = route.value.query.get("step") ?? "";
  const beside_plan = report.tests.find((test) => step_key({ kind: "test", id: test.id }) === wanted);
  const in_plan = steps.find((step) => step_key(step) === wanted);
  const step: Step | null =
    in_plan ?? (beside_plan ? { kind: "test", id: beside_plan.id, number: 0 } : first_open_step(steps, latest, ticks));
  const at = step ? steps.findIndex((one) => step_key(one) === step_key(step)) : -1;
  const to = (one: Step | null | undefined) => select({ step: one ? step_key(one) : "", again: "" });
  use_faces(report);
  use_wake_lock(step !== null);
  const test = report.tests.find((one) => step?.kind === "test" && one.id === step.id);
  const condition = report.conditions.find((one) => one.id === (step?.kind === "condition" ? step.id : test?.condition));
  // Nothing is measured on a loom to practise on: there is no power in it.
  const gated = !practising && condition?.live === true && unconfirmed(report, ticks).length > 0;
  const next = () => to(at >= 0 ? steps[at + 1] : null);
  const before = steps.filter((one, index) => index < at && one.kind === "test").at(-1);
  const test_before = report.tests.find((one) => one.id === before?.id);
  const [time, set_time] = useState<number | null>(null); // all of the plan
  const minutes = time ?? Math.ceil(report.plan_minutes);
  use_scroll_to_top(step ? step_key(step) : "");
  const open_step = (id: string) => select({ step: step_key({ kind: "test", id }), again: "" });
  return (
    <div class="stack prove">
      <PracticeBanner graft={name} readings={readings.readings} />
      <div class="columns-two columns-prove">
        <div class="stack no-print">
          {gated && <ConfirmScreen report={report} ticks={ticks} />}
          {!gated && step?.kind === "condition" && condition && <ConditionScreen graft={graft} condition={condition} done={next} />}
          {!gated && test && step && (
            <StepScreen
              key={test.id}
              graft={graft}
              test={test}
              condition={condition}
              number={step.number}
              title={step.number > 0 ? `Step ${step.number} of ${report.plan.length}` : "A measurement that is not in the plan"}
              before={
                before && test_before ? <StepBefore test={test_before} number={before.number} reading={latest.get(before.id)} /> : null
              }
              reading={latest.get(test.id)}
              practice={practice.get(test.id) ?? null}
              practising={practising}
              next={next}
            />
          )}
          {!step && <AllDone />}
          <div class="buttons step-buttons">
            <button type="button" disabled={at <= 0} onClick={() => to(steps[at - 1])}>
              Back
            </button>
            <button type="button" onClick={() => to(null)}>
              First step to do
            </button>
            <button type="button" disabled={at < 0 || at + 1 >= steps.length} onClick={next}>
              Forward
            </button>
          </div>
          <SendState readings={readings} graft={name} />
        </div>
        <WholePlan>
          <PlanTime report={report} latest={latest} minutes={minutes} set_minutes={set_time} />
          <Summary graft={name} open={graft} report={report} latest={latest} />
          {report.to_confirm.length > 0 && (
            <section class="sheet stack" aria-label="Before the battery is joined">
              <h2>Look and confirm before the battery is joined</h2>
              <ConfirmList report={report} ticks={ticks} />
            </section>
          )}
          <PlanList report={report} latest={latest} at={step?.id ?? ""} pick={to} minutes={minutes} />
          <Unexposed report={report} />
          <Joints report={report} />
          <TestPlugs report={report} />
          <Problems list={report.problems.filter((one) => one.code !== "open-hazards")} title="Not in the plan" />
        </WholePlan>
      </div>
      <ProofMatrix report={report} latest={latest} open_step={open_step} />
    </div>
  );
}

export function Prove() {
  const graft = doc.value;
  const path = graft ? prove_path(graft) : null;
  const report = use_report<ProveReport>(path);
  const readings = use_readings();
  if (!graft || !path) {
    return (
      <Empty title="Nothing to prove yet" first="compare">
        <p>
          When the plan has its wires (Compare, Design), this page shows the quickest set of measurements that detects every single fault:
          what to unplug, where each lead goes, and what the meter must show.
        </p>
      </Empty>
    );
  }
  return (
    <>
      <ReportStatus report={report} what="Planning the measurements" />
      {report.value && <Ready graft={graft} report={report.value} readings={readings} />}
    </>
  );
}
