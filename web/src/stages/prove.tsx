// Prove: the plan of measurements, one screen a step in the footwell, the whole of it on the bench.

import type { ComponentChildren } from "preact";
import { useEffect, useMemo, useRef } from "preact/hooks";
import type { Graft, ProveReport, Reading } from "../api_types";
import { prove_path } from "../findings";
import { latest_by_test, resume_at, steps_of, type Step } from "../model/proof";
import { doc } from "../net/graft";
import { can_keep, use_readings, type Readings } from "../net/readings";
import { useReport } from "../net/report";
import { use_ticks } from "../net/ticks";
import { fetch_ahead } from "../parts/drawing";
import { black_ink, PrintButton } from "../parts/print";
import { Problems } from "../parts/problems";
import { Empty, Waiting } from "../parts/waiting";
import { route, select } from "../route";
import { narrow } from "./compare_face";
import { hidden_fault, hide_fault, PracticeBanner, use_practice, usual_mistake } from "./practice";
import { Joints, PlanList, Progress, Unexposed } from "./prove_list";
import { ProofMatrix } from "./prove_matrix";
import { StateScreen } from "./prove_state";
import { lead_face, StepBefore, StepScreen } from "./prove_step";

const step_key = (step: Step) => `${step.kind}:${step.id}`;

export function Fate({ readings }: { readings: Readings }) {
  return (
    <p class="fate" role="status">
      {readings.waiting > 0
        ? `${readings.waiting} ${readings.waiting === 1 ? "reading waits" : "readings wait"} in this device for the workbench; keep the page open.`
        : "All readings are safe on the workbench's disk."}
      {!can_keep.value && " This browser keeps nothing by itself: a reading is lost if the link is."}
      {readings.refused.map((words) => (
        <span key={words}> One was refused: {words}</span>
      ))}
    </p>
  );
}

function Head({ graft, open, report, latest }: { graft: string; open: Graft; report: ProveReport; latest: ReadonlyMap<string, Reading> }) {
  const hidden = hidden_fault(graft);
  return (
    <section class="sheet stack" aria-label="In short">
      <p>
        {report.plan.length} measurements, about {Math.round(report.plan_minutes)} minutes, expose {report.faults.length - report.unexposed.length} of{" "}
        {report.faults.length} single mistakes. {report.optimal ? "No plan takes less." : `No plan takes less than ${Math.round(report.bound_minutes)} minutes.`}
      </p>
      <Progress report={report} latest={latest} />
      {report.refused.map((words) => (
        <p key={words} class="caution">
          {words}
        </p>
      ))}
      <div class="buttons no-print">
        <PrintButton what="this plan" />
        {!hidden && (
          <button type="button" onClick={() => (hide_fault(graft, usual_mistake(report, open)), window.scrollTo(0, 0))}>
            Practise on a loom with a hidden mistake
          </button>
        )}
      </div>
    </section>
  );
}

// Another step is read from its top: whoever stays at the keys of the last one enters a reading for leads not yet moved.
function use_top_of(key: string): void {
  const shown = useRef(key);
  useEffect(() => {
    if (shown.current === key) return;
    shown.current = key;
    window.scrollTo(0, 0);
    document.querySelector<HTMLElement>(".step")?.focus({ preventScroll: true });
  }, [key]);
}

// In the footwell one action a screen: the rest is folded away.
function Whole({ children }: { children: ComponentChildren }) {
  if (!narrow() || black_ink.value) return <div class="stack">{children}</div>;
  return (
    <details class="whole">
      <summary>The whole plan, practice and printing</summary>
      <div class="stack">{children}</div>
    </details>
  );
}

function Ready({ graft, report, readings }: { graft: Graft; report: ProveReport; readings: Readings }) {
  const name = route.value.graft;
  const ticks = use_ticks();
  const practice = use_practice(name);
  const steps = steps_of(report);
  const latest = useMemo(() => latest_by_test(readings.readings), [readings.readings.length, readings.stamp]);
  const asked = route.value.query.get("step") ?? "";
  const extra = report.tests.find((test) => `test:${test.id}` === asked);
  const planned = steps.find((step) => step_key(step) === asked);
  const step: Step | null = planned ?? (extra ? { kind: "test", id: extra.id, number: 0 } : resume_at(steps, latest, ticks));
  const at = step ? steps.findIndex((one) => step_key(one) === step_key(step)) : -1;
  const to = (one: Step | null | undefined) => select({ step: one ? step_key(one) : "", again: "" });
  useEffect(() => {
    const faces = report.plan.flatMap((id) => report.tests.filter((test) => test.id === id)).flatMap((test) => [lead_face(test.red_at), lead_face(test.black_at)]);
    for (const path of new Set(faces)) if (path) fetch_ahead(path);
  }, [report]);
  const test = report.tests.find((one) => step?.kind === "test" && one.id === step.id);
  const state = report.conditions.find((one) => one.id === (step?.kind === "state" ? step.id : test?.condition));
  const next = () => to(at >= 0 ? steps[at + 1] : null);
  const before = steps.filter((one, index) => index < at && one.kind === "test").at(-1);
  const test_before = report.tests.find((one) => one.id === before?.id);
  use_top_of(step ? step_key(step) : "");
  const open_step = (id: string) => select({ step: `test:${id}`, again: "" });
  return (
    <div class="stack prove">
      <PracticeBanner graft={name} readings={readings.readings} />
      <div class="beside prove-beside">
        <div class="stack no-print">
          {step?.kind === "state" && state && <StateScreen graft={graft} state={state} done={next} />}
          {test && step && (
            <StepScreen
              key={test.id}
              graft={graft}
              test={test}
              state={state}
              title={step.number > 0 ? `Step ${step.number} of ${report.plan.length}` : "A measurement beside the plan"}
              before={before && test_before ? <StepBefore test={test_before} number={before.number} reading={latest.get(before.id)} /> : null}
              reading={latest.get(test.id)}
              practice={practice.get(test.id) ?? null}
              practising={hidden_fault(name) !== ""}
              next={next}
            />
          )}
          {!step && (
            <section class="sheet" aria-label="Done">
              <h2>Every step has a reading</h2>
              <p>What was out of band is marked in the plan. Find the fault says what it means.</p>
            </section>
          )}
          <div class="buttons step-ways">
            <button type="button" disabled={at <= 0} onClick={() => to(steps[at - 1])}>
              Back
            </button>
            <button type="button" onClick={() => to(null)}>
              First one to do
            </button>
            <button type="button" disabled={at < 0 || at + 1 >= steps.length} onClick={next}>
              Forward
            </button>
          </div>
          <Fate readings={readings} />
        </div>
        <Whole>
          <Head graft={name} open={graft} report={report} latest={latest} />
          <PlanList report={report} latest={latest} at={step?.id ?? ""} pick={to} />
          <Unexposed report={report} />
          <Joints report={report} />
          <Problems list={report.problems} title="What could not be planned" />
        </Whole>
      </div>
      <ProofMatrix report={report} latest={latest} open_step={open_step} />
    </div>
  );
}

export function Prove() {
  const graft = doc.value;
  const path = graft ? prove_path(graft) : null;
  const report = useReport<ProveReport>(path);
  const readings = use_readings();
  if (!graft || !path) {
    return (
      <Empty title="Nothing to prove yet" first="compare">
        <p>
          When the plan's wires are in (Compare, Design), the least work with a meter that would expose every single mistake stands here: what to
          unplug, where each lead goes, what the meter must show.
        </p>
      </Empty>
    );
  }
  return (
    <>
      <Waiting report={report} what="Planning the measurements" />
      {report.value && <Ready graft={graft} report={report.value} readings={readings} />}
    </>
  );
}
