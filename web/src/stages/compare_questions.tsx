// Questions that only the vehicle or a second source can answer. They are answered here; the answer goes into the document.

import { useState } from "preact/hooks";
import type { CompareReport, Graft, Module, Question } from "../api_types";
import { record_fact } from "../model/answers";
import { end_text, find_pin, type LocatedPin } from "../model/document";
import { class_choices } from "../model/pin_classes";
import { change } from "../net/edit";
import { Select } from "../parts/field";
import { Help } from "../parts/help";
import { black_ink } from "../parts/print";
import { ShowAll, use_shortened } from "../parts/shortened";
import { Claims, HowToSettle } from "./claims";
import { SameOrNot } from "./same_circuit";

function pin_of(graft: Graft, modules: Module[], question: Question): LocatedPin | undefined {
  for (const module of modules) {
    const located = find_pin(graft, module, question.connector, question.cavity);
    if (located && (located.pin.signal ?? "") === question.signal) return located;
  }
  return modules[0] && find_pin(graft, modules[0], question.connector, question.cavity);
}

function ClassForm({ located, name }: { located: LocatedPin; name: string }) {
  const [chosen, set_chosen] = useState(located.pin.class ?? "unknown");
  const save = () =>
    void change(`the type of ${name}`, (now) => {
      const module = now.modules?.find((one) => one.id === located.module.id);
      const fresh = module && find_pin(now, module, located.pin.connector, located.pin.cavity);
      return fresh ? record_fact(fresh, { class: chosen }) : [];
    });
  return (
    <div class="class-form">
      <Select label={`Type of ${name}, as found at the vehicle`} value={chosen} choices={class_choices} take={set_chosen} />
      <button type="button" disabled={chosen === "unknown"} onClick={save}>
        Save
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
  const ordered = [...report.questions].sort((a, b) => b.weight - a.weight);
  const { shown, rest, show_all } = use_shortened(ordered, shown_at_first);
  if (ordered.length === 0) {
    return (
      <section class="sheet stack no-print" id="questions" aria-label="Questions">
        <h2>No question is open</h2>
        <p class="soft">Nothing about these two tables has to be settled at the vehicle.</p>
      </section>
    );
  }
  return (
    <section class="sheet stack" id="questions" aria-label="Questions">
      <div class="head-help">
        <h2>Questions to settle at the vehicle ({ordered.length})</h2>
        <Help word="settle" />
      </div>
      <ol class="questions">
        {shown.map((question) => {
          const name = end_text(question);
          const located = pin_of(graft, [found, donor], question);
          return (
            <li key={`${name} ${question.question}`}>
              <details open={black_ink.value}>
                <summary>{question.question}</summary>
                <HowToSettle question={question} />
                {question.same_as && <SameOrNot pair={{ found, donor }} one={question} other={question.same_as} />}
                {located && (located.pin.claims ?? []).length > 1 && (
                  <Claims graft={graft} located={located} name={name} measure={question.measure} />
                )}
                {located && <ClassForm located={located} name={name} />}
              </details>
            </li>
          );
        })}
      </ol>
      <ShowAll rest={rest} show_all={show_all} count={ordered.length} />
    </section>
  );
}
