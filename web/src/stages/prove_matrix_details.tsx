// Details of what is picked in the table: the step with its probe points and the faults it detects, the fault with its
// harm and what each step would read with it.

import type { ComponentChild } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { Harm, Practice, ProveCondition, ProveFault, ProveReport, ProveTest } from "../api_types";
import type { Matrix, MatrixRow } from "../model/matrix";
import { amount, band_text, has_value, is_over_range, result_of, result_text, sentence } from "../model/proof";
import type { MarkedReading } from "../model/reading";
import { use_report } from "../net/report";
import { Mark } from "../parts/mark";

const most_listed = 8;

function HarmMark({ harm }: { harm: Harm }) {
  if (harm === "none") return <span class="soft">no damage; the circuit does not work</span>;
  return <Mark name={harm} />;
}

function reading_text(test: ProveTest, reading: MarkedReading | undefined): string {
  const result = result_text[result_of(test, reading)];
  return reading && has_value(reading) ? `${result}, ${amount(reading.value, test.band.unit)}` : result;
}

// A list that shows its first items and a button for all.
function ShortList<T>({ list, item }: { list: readonly T[]; item: (one: T) => ComponentChild }) {
  const [all, set_all] = useState(false);
  const shown = all ? list : list.slice(0, most_listed);
  return (
    <>
      <ul class="details-list">{shown.map(item)}</ul>
      {list.length > shown.length && (
        <button type="button" onClick={() => set_all(true)}>
          Show all {list.length}
        </button>
      )}
    </>
  );
}

interface StepProps {
  test: ProveTest;
  number: number; // from 1
  of: number;
  condition: ProveCondition | undefined;
  reading: MarkedReading | undefined;
  rows: readonly { row: number; one: MatrixRow }[]; // that it detects, of those listed
  pick_row: (row: number) => void;
  open: () => void;
}

export function StepDetails({ test, number, of, condition, reading, rows, pick_row, open }: StepProps) {
  return (
    <section class="sheet stack" aria-label="Step" data-details="step" data-step={number}>
      <h3>
        Step {number} of {of}: {sentence(test.text)}
      </h3>
      <dl class="facts">
        <div>
          <dt>Prepare</dt>
          <dd>{condition?.text ?? ""}</dd>
        </div>
        <div>
          <dt>Red lead</dt>
          <dd>{test.red_at.text}</dd>
        </div>
        <div>
          <dt>Black lead</dt>
          <dd>{test.black_at.text}</dd>
        </div>
        <div>
          <dt>Must show</dt>
          <dd>{band_text(test)}</dd>
        </div>
        <div>
          <dt>Reading</dt>
          <dd>{reading_text(test, reading)}</dd>
        </div>
      </dl>
      <button type="button" class="primary" onClick={open}>
        Go to this step
      </button>
      <p>
        It detects {test.exposes.length} {test.exposes.length === 1 ? "fault" : "faults"}
        {rows.length > 0 ? ":" : ", none of them in the filtered list."}
      </p>
      <ShortList
        key={test.id}
        list={rows}
        item={({ row, one }) => (
          <li key={row}>
            <button type="button" class="link-button" onClick={() => pick_row(row)}>
              {sentence(one.text)}
            </button>
          </li>
        )}
      />
    </section>
  );
}

// What every test would read on a loom with this fault; requested once the cursor rests.
function use_readings_with(fault: string): Map<string, number> {
  const [resting, set_resting] = useState("");
  useEffect(() => {
    const timer = window.setTimeout(() => set_resting(fault), 150);
    return () => window.clearTimeout(timer);
  }, [fault]);
  const report = use_report<Practice>(resting ? `/reports/practice?fault=${encodeURIComponent(resting)}` : null);
  return new Map(resting === fault ? (report.value?.readings ?? []).map((reading) => [reading.test, reading.value]) : []);
}

const about = (value: number, unit: string): string => `${is_over_range(value, unit) ? "" : "about "}${amount(value, unit)}`;

function ByStep({
  matrix,
  row,
  latest,
  with_fault,
  pick_step,
}: {
  matrix: Matrix;
  row: MatrixRow;
  latest: ReadonlyMap<string, MarkedReading>;
  with_fault: ReadonlyMap<string, number>;
  pick_step: (step: number) => void;
}) {
  return (
    <ShortList
      list={row.steps}
      item={(step) => {
        const test = matrix.steps[step];
        if (!test) return null;
        const value = with_fault.get(test.id);
        return (
          <li key={step}>
            <button type="button" class="link-button" onClick={() => pick_step(step)}>
              Step {step + 1}: {sentence(test.text)}
            </button>
            <br />
            must show {band_text(test)}
            {value !== undefined && <strong class="with-fault">; with this fault, it would show {about(value, test.band.unit)}</strong>} (
            {reading_text(test, latest.get(test.id))})
          </li>
        );
      }}
    />
  );
}

function Alike({ faults, at, pick }: { faults: readonly ProveFault[]; at: number; pick: (at: number) => void }) {
  if (faults.length < 2) return null;
  return (
    <div class="details-alike">
      <p>{faults.length} faults look the same to every step of the plan:</p>
      <ShortList
        list={faults}
        item={(fault) => (
          <li key={fault.id}>
            <button
              type="button"
              class="link-button"
              aria-current={faults[at]?.id === fault.id ? "true" : undefined}
              onClick={() => pick(faults.indexOf(fault))}
            >
              {sentence(fault.text)}
            </button>{" "}
            {fault.harm !== "none" && <HarmMark harm={fault.harm} />}
          </li>
        )}
      />
    </div>
  );
}

interface FaultProps {
  report: ProveReport;
  matrix: Matrix;
  row: MatrixRow;
  latest: ReadonlyMap<string, MarkedReading>;
  pick_step: (step: number) => void;
}

export function FaultDetails({ report, matrix, row, latest, pick_step }: FaultProps) {
  const [at, set_at] = useState(0);
  const fault = row.faults[at] ?? row.faults[0];
  const with_fault = use_readings_with(row.steps.length > 0 ? (fault?.id ?? "") : "");
  if (!fault) return null;
  const unexposed = report.unexposed.find((one) => one.fault === fault.id);
  return (
    <section class="sheet stack" aria-label="Fault" data-details="fault" data-steps={row.steps.length}>
      <h3>{sentence(fault.text)}</h3>
      <p>
        Effect: <HarmMark harm={fault.harm} />. Repair: {fault.repair_text}.
      </p>
      {unexposed && (
        <p class="caution" data-unexposed>
          No step detects it. {unexposed.why} {unexposed.remedy}
        </p>
      )}
      {row.steps.length > 0 && (
        <>
          <p>
            {row.steps.length} {row.steps.length === 1 ? "step detects it:" : "steps detect it:"}
          </p>
          <ByStep matrix={matrix} row={row} latest={latest} with_fault={with_fault} pick_step={pick_step} />
        </>
      )}
      <Alike faults={row.faults} at={at} pick={set_at} />
    </section>
  );
}
