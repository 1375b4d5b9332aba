// What was picked in the table, in words: the step with its places and what it shows, the mistake with its harm and the
// steps that show it, and by how much.

import type { ComponentChild } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { Practice, ProveCondition, ProveFault, ProveReport, ProveTest, Reading } from "../api_types";
import type { Matrix, MatrixRow } from "../model/matrix";
import { amount, band_words, fate_of, fate_words, said_in_band, sentence, unreached } from "../model/proof";
import { useReport } from "../net/report";
import { Mark, mark_of_grade } from "../parts/mark";

const most_listed = 8;

export function Harm({ harm }: { harm: string }) {
  if (harm === "none") return <span class="soft">no harm but that it does not work</span>;
  return <Mark name={harm === "false_signal" || harm === "damage" || harm === "fire" ? mark_of_grade(harm) : "note"} />;
}

function read_words(test: ProveTest, reading: Reading | undefined): string {
  if (!reading || reading.unit === unreached || reading.id.startsWith(said_in_band)) return fate_words[fate_of(test, reading)];
  return `${fate_words[fate_of(test, reading)]}, ${amount(reading.value, test.band.unit)}`;
}

// A list of which most are seldom wanted.
export function Short<T>({ list, item }: { list: readonly T[]; item: (one: T) => ComponentChild }) {
  const [all, set_all] = useState(false);
  const shown = all ? list : list.slice(0, most_listed);
  return (
    <>
      <ul class="told-list">{shown.map(item)}</ul>
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
  state: ProveCondition | undefined;
  reading: Reading | undefined;
  rows: readonly { row: number; one: MatrixRow }[]; // that it shows, of those in sight
  pick_row: (row: number) => void;
  open: () => void;
}

export function StepTold({ test, number, of, state, reading, rows, pick_row, open }: StepProps) {
  return (
    <section class="sheet stack told" aria-label="The step">
      <h3>
        Step {number} of {of}: {sentence(test.words)}
      </h3>
      <dl class="facts">
        <div>
          <dt>First</dt>
          <dd>{state?.words ?? ""}</dd>
        </div>
        <div>
          <dt>Red lead</dt>
          <dd>{test.red_at.words}</dd>
        </div>
        <div>
          <dt>Black lead</dt>
          <dd>{test.black_at.words}</dd>
        </div>
        <div>
          <dt>Must show</dt>
          <dd>{band_words(test)}</dd>
        </div>
        <div>
          <dt>Read</dt>
          <dd>{read_words(test, reading)}</dd>
        </div>
      </dl>
      <button type="button" class="first" onClick={open}>
        Go to this step
      </button>
      <p>
        It shows {test.exposes.length} {test.exposes.length === 1 ? "mistake" : "mistakes"}
        {rows.length > 0 ? ":" : ", none of them in the list as it is filtered."}
      </p>
      <Short
        key={test.id}
        list={rows}
        item={({ row, one }) => (
          <li key={row}>
            <button type="button" class="quiet" onClick={() => pick_row(row)}>
              {sentence(one.words)}
            </button>
          </li>
        )}
      />
    </section>
  );
}

// What every test would show on a loom with this fault; asked for once the cursor rests.
function use_shown_under(fault: string): Map<string, number> {
  const [settled, set_settled] = useState("");
  useEffect(() => {
    const timer = window.setTimeout(() => set_settled(fault), 150);
    return () => window.clearTimeout(timer);
  }, [fault]);
  const report = useReport<Practice>(settled ? `/reports/practice?fault=${encodeURIComponent(settled)}` : null);
  return new Map(settled === fault ? (report.value?.readings ?? []).map((reading) => [reading.test, reading.value]) : []);
}

const about = (figure: string): string => (/\d/.test(figure) ? `about ${figure}` : figure);

function ByStep({ matrix, row, latest, under, pick_step }: { matrix: Matrix; row: MatrixRow; latest: ReadonlyMap<string, Reading>; under: ReadonlyMap<string, number>; pick_step: (step: number) => void }) {
  return (
    <Short
      list={row.steps}
      item={(step) => {
        const test = matrix.steps[step];
        if (!test) return null;
        const value = under.get(test.id);
        return (
          <li key={step}>
            <button type="button" class="quiet" onClick={() => pick_step(step)}>
              Step {step + 1}: {sentence(test.words)}
            </button>
            <br />
            must show {band_words(test)}
            {value !== undefined && <strong>, would show {about(amount(value, test.band.unit))}</strong>} ({read_words(test, latest.get(test.id))})
          </li>
        );
      }}
    />
  );
}

function Alike({ faults, at, pick }: { faults: readonly ProveFault[]; at: number; pick: (at: number) => void }) {
  if (faults.length < 2) return null;
  return (
    <div class="told-alike">
      <p>{faults.length} mistakes look the same to every step of the plan:</p>
      <Short
        list={faults}
        item={(fault) => (
          <li key={fault.id}>
            <button type="button" class="quiet" aria-current={faults[at]?.id === fault.id ? "true" : undefined} onClick={() => pick(faults.indexOf(fault))}>
              {sentence(fault.words)}
            </button>{" "}
            {fault.harm !== "none" && <Harm harm={fault.harm} />}
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
  latest: ReadonlyMap<string, Reading>;
  pick_step: (step: number) => void;
}

export function FaultTold({ report, matrix, row, latest, pick_step }: FaultProps) {
  const [at, set_at] = useState(0);
  const fault = row.faults[at] ?? row.faults[0];
  const under = use_shown_under(row.steps.length > 0 ? (fault?.id ?? "") : "");
  if (!fault) return null;
  const left = report.unexposed.find((one) => one.fault === fault.id);
  return (
    <section class="sheet stack told" aria-label="The mistake">
      <h3>{sentence(fault.words)}</h3>
      <p>
        What it does: <Harm harm={fault.harm} />. To mend it, {fault.repair_words}.
      </p>
      {left && (
        <p class="caution">
          No step shows it. {left.why} {left.remedy}
        </p>
      )}
      {row.steps.length > 0 && (
        <>
          <p>
            {row.steps.length} {row.steps.length === 1 ? "step shows it:" : "steps show it:"}
          </p>
          <ByStep matrix={matrix} row={row} latest={latest} under={under} pick_step={pick_step} />
        </>
      )}
      <Alike faults={row.faults} at={at} pick={set_at} />
    </section>
  );
}
