// Where the sources of a module disagree, and the measurement that settles each.

import { useState } from "preact/hooks";
import type { CompareReport, Graft, Module, Pin } from "../api_types";
import { compare_path } from "../findings";
import { connector_name, disagreement, find_connector, find_pin, module_name } from "../model/document";
import { useReport } from "../net/report";
import { Mark } from "../parts/mark";
import { Claims, HowToMeasure } from "./claims";

export function place_name(graft: Graft, module: Module, pin: Pin): string {
  const plug = find_connector(graft, module, pin.connector);
  return `${plug ? connector_name(plug) : pin.connector}-${pin.cavity}`;
}

const patience_ms = 300;

const heads = { kind: "what it is", colour: "only the colour", wording: "only the words" };

export function Disagreements({ graft }: { graft: Graft }) {
  const report = useReport<CompareReport>(compare_path(graft), patience_ms);
  const [all, set_all] = useState(false);
  const found = (graft.modules ?? []).flatMap((module) =>
    (module.pins ?? []).flatMap((pin) => {
      const about = disagreement(pin);
      return about ? [{ module, pin, about: about.about }] : [];
    }),
  );
  if (found.length === 0) return null;
  found.sort((a, b) => Number(a.about !== "kind") - Number(b.about !== "kind"));
  const several = new Set(found.map((one) => one.module)).size > 1;
  const weighty = found.filter((one) => one.about === "kind").length;
  const shown = all ? found : found.slice(0, 6);
  const measure = (module: Module, pin: Pin) => {
    const name = place_name(graft, module, pin);
    return report.value?.questions.find((question) => `${question.connector}-${question.cavity}` === name && module.role === "found");
  };
  return (
    <section class="sheet stack" aria-label="The sources disagree">
      <h2>
        <Mark name="unsure" bare word="to settle" /> The sources disagree about {found.length} {found.length === 1 ? "cavity" : "cavities"}
        {weighty < found.length && `, about what it is in ${weighty} of them`}
      </h2>
      <ol class="disagreements">
        {shown.map(({ module, pin, about }) => {
          const name = place_name(graft, module, pin);
          const place = find_pin(graft, module, pin.connector, pin.cavity);
          const by = measure(module, pin);
          return (
            <li key={`${module.id} ${name}`}>
              <h3>
                {name}{" "}
                <span class="soft">
                  {several && `of ${module_name(module)} · `}
                  {heads[about]}
                </span>
              </h3>
              {by?.measure && <HowToMeasure measure={by.measure} />}
              {by && !by.measure && (
                <p class="measure">
                  <strong>How to find out:</strong> {by.answer_by}
                </p>
              )}
              {!by && about === "colour" && <p class="measure">Look at the wire in daylight, close to the plug where it is clean.</p>}
              {!by && about === "kind" && !compare_path(graft) && <p class="soft">Add a donor, and the measurement that tells them apart is worked out here.</p>}
              {place && <Claims graft={graft} place={place} name={name} measure={by?.measure} />}
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
