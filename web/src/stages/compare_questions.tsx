// Questions that only the vehicle or a second source can answer, answered in place: the answer goes into the document.

import { useState } from "preact/hooks";
import type { CompareReport, Graft, Module, Question } from "../api_types";
import { kind_words, pin_kinds, state_fact } from "../model/answers";
import { find_pin, type PinPlace } from "../model/document";
import { change } from "../net/edit";
import { Select } from "../parts/field";
import { black_ink } from "../parts/print";
import { Claims, HowToMeasure } from "./claims";
import { SameOrNot } from "./same_circuit";

function place_of(graft: Graft, modules: Module[], question: Question): PinPlace | undefined {
  for (const module of modules) {
    const place = find_pin(graft, module, question.connector, question.cavity);
    if (place && (place.pin.signal ?? "") === question.signal) return place;
  }
  return modules[0] && find_pin(graft, modules[0], question.connector, question.cavity);
}

function StateKind({ place, name }: { place: PinPlace; name: string }) {
  const [kind, set_kind] = useState(place.pin.class ?? "unknown");
  const take = () =>
    void change(`What ${name} is`, (now) => {
      const module = now.modules?.find((one) => one.id === place.module.id);
      const fresh = module && find_pin(now, module, place.pin.connector, place.pin.cavity);
      return fresh ? state_fact(fresh, { class: kind }) : [];
    });
  return (
    <div class="state-kind">
      <Select
        label={`What ${name} turned out to be`}
        value={kind}
        choices={["unknown", ...pin_kinds].map((one) => [one, kind_words(one)] as const)}
        take={set_kind}
      />
      <button type="button" disabled={kind === "unknown"} onClick={take}>
        Say so
      </button>
    </div>
  );
}

interface Props {
  graft: Graft;
  found: Module;
  donor: Module;
  report: CompareReport;
}

const shown_at_first = 5;

export function Questions({ graft, found, donor, report }: Props) {
  const [all, set_all] = useState(false);
  if (report.questions.length === 0) return null;
  const ordered = [...report.questions].sort((a, b) => b.weight - a.weight);
  const shown = all || black_ink.value ? ordered : ordered.slice(0, shown_at_first);
  return (
    <section class="sheet stack" id="questions" tabIndex={-1} aria-label="Questions">
      <h2>Questions that the vehicle answers ({report.questions.length})</h2>
      <ol class="questions">
        {shown.map((question) => {
          const name = `${question.connector}-${question.cavity}`;
          const place = place_of(graft, [found, donor], question);
          return (
            <li key={`${name} ${question.question}`}>
              <details open={black_ink.value}>
                <summary>{question.question}</summary>
                {question.measure ? (
                  <HowToMeasure measure={question.measure} />
                ) : (
                  <p class="measure">
                    <strong>How to find out:</strong> {question.answer_by}
                  </p>
                )}
                {question.same_as && <SameOrNot pair={{ found, donor }} one={question} other={question.same_as} />}
                {place && (place.pin.claims ?? []).length > 1 && <Claims graft={graft} place={place} name={name} measure={question.measure} />}
                {place && <StateKind place={place} name={name} />}
              </details>
            </li>
          );
        })}
      </ol>
      {!all && ordered.length > shown.length && (
        <button type="button" class="no-print" onClick={() => set_all(true)}>
          Show all {ordered.length}
        </button>
      )}
    </section>
  );
}
