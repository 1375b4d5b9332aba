// Where the sources of a module disagree, each with the measurement that settles it.

import { useState } from "preact/hooks";
import type { CompareReport, Graft, Module, Pin, Question } from "../api_types";
import { compare_path } from "../findings";
import { connector_name, disagreement, end_text, find_connector, find_pin, module_name } from "../model/document";
import { use_report } from "../net/report";
import { Mark } from "../parts/mark";
import { Claims, HowToSettle } from "./claims";

function cavity_name(graft: Graft, module: Module, pin: Pin): string {
  const plug = find_connector(graft, module, pin.connector);
  return end_text({ connector: plug ? connector_name(plug) : pin.connector, cavity: pin.cavity });
}

const delay_ms = 300;
const shown_at_first = 6;

const about_text = { class: "type", colour: "colour only" };

function Hint({ about, question, no_donor }: { about: "class" | "colour"; question: Question | undefined; no_donor: boolean }) {
  if (question) return <HowToSettle question={question} />;
  if (about === "colour") return <p class="measure">Look at the wire in daylight, close to the plug, where it is clean.</p>;
  return no_donor ? <p class="soft">Add a donor. Then the page shows which measurement settles this.</p> : null;
}

export function Disagreements({ graft }: { graft: Graft }) {
  const path = compare_path(graft);
  const report = use_report<CompareReport>(path, { delay_ms });
  const [all, set_all] = useState(false);
  const found = (graft.modules ?? []).flatMap((module) =>
    (module.pins ?? []).flatMap((pin) => {
      const about = disagreement(pin)?.about;
      return about ? [{ module, pin, about }] : [];
    }),
  );
  if (found.length === 0) return null;
  found.sort((a, b) => Number(a.about !== "class") - Number(b.about !== "class"));
  const several = new Set(found.map((one) => one.module)).size > 1;
  const about_class = found.filter((one) => one.about === "class").length;
  const shown = all ? found : found.slice(0, shown_at_first);
  const question_about = (module: Module, pin: Pin) => {
    if (module.role !== "found") return undefined;
    const name = cavity_name(graft, module, pin);
    return report.value?.questions.find((question) => end_text(question) === name);
  };
  return (
    <section class="sheet stack" aria-label="The sources disagree">
      <h2>
        <Mark name="unsure" bare text="to settle" /> The sources disagree about {found.length} {found.length === 1 ? "cavity" : "cavities"}
        {about_class < found.length && `, about the type in ${about_class} of them`}
      </h2>
      <ol class="disagreements">
        {shown.map(({ module, pin, about }) => {
          const name = cavity_name(graft, module, pin);
          const located = find_pin(graft, module, pin.connector, pin.cavity);
          const question = question_about(module, pin);
          return (
            <li key={`${module.id} ${name}`}>
              <h3>
                {name}{" "}
                <span class="soft">
                  {several && `of ${module_name(module)} · `}
                  {about_text[about]}
                </span>
              </h3>
              <Hint about={about} question={question} no_donor={path === null} />
              {located && <Claims graft={graft} located={located} name={name} measure={question?.measure} />}
            </li>
          );
        })}
      </ol>
      {!all && found.length > shown.length && (
        <button type="button" onClick={() => set_all(true)}>
          Show all {found.length}
        </button>
      )}
    </section>
  );
}
