// One circuit: its wires and fuses with sizes to set, its checks, and the remedies where a size cannot help.

import { useState } from "preact/hooks";
import type { CircuitDesign, FuseDesign, Graft, Remedy } from "../api_types";
import { check_words, subject_words } from "../model/measured";
import { graft } from "../net/graft";
import { Mark } from "../parts/mark";
import { black_ink } from "../parts/print";
import { route_to } from "../route";
import { figure } from "./compare_hazards";
import { CheckRow } from "./design_check";
import { MeasuredField } from "./design_field";
import { WireSheet } from "./design_wire";

function Fuse({ fuse, doc }: { fuse: FuseDesign; doc: Graft }) {
  return (
    <li class="design-item">
      <h3>{subject_words(doc, fuse.device)}</h3>
      <div class="row">
        <MeasuredField doc={doc} subject={fuse.device} member={{ member: "rating_a", unit: "A", words: "rating" }} />
        <p>
          load {figure(fuse.load_a, "A")}; at least {figure(fuse.least_a, "A")} carries it
        </p>
      </div>
    </li>
  );
}

function RemedyBox({ doc, remedy, circuit }: { doc: Graft; remedy: Remedy; circuit: CircuitDesign }) {
  const before = (check: string, subject: string) => circuit.checks.find((one) => one.check === check && one.subject === subject);
  return (
    <li class={remedy.holds ? "remedy" : "remedy remedy-fails"}>
      <h3>
        <Mark name={remedy.holds ? "holds" : "fails"} word={remedy.holds ? "would hold" : "would not hold"} /> {remedy.words}
      </h3>
      <p class="soft">{remedy.brings}</p>
      <ul class="before-after">
        {remedy.after.map((after, index) => {
          const was = before(after.check, after.subject);
          return (
            <li key={index}>
              <Mark name={after.holds ? "holds" : "fails"} bare /> {check_words(doc, after).words}: {was ? `${figure(was.value, was.unit)} before, ` : ""}
              <strong>{figure(after.value, after.unit)} after</strong>, {after.bound === "at_most" ? "at most" : "at least"}{" "}
              {figure(after.limit, after.unit)}
            </li>
          );
        })}
      </ul>
    </li>
  );
}

function Checks({ doc, circuit }: { doc: Graft; circuit: CircuitDesign }) {
  const [all, set_all] = useState(false);
  const telling = circuit.checks.filter((check) => !check.holds || check.binds);
  const shown = all || telling.length === 0 ? circuit.checks : telling;
  return (
    <>
      <h3>What it must stand</h3>
      <ul class="checks">
        {shown.map((check, index) => (
          <CheckRow key={`${check.check} ${check.subject} ${index}`} doc={doc} check={check} />
        ))}
      </ul>
      {shown.length < circuit.checks.length && (
        <button type="button" class="no-print" onClick={() => set_all(true)}>
          Show all {circuit.checks.length} checks
        </button>
      )}
    </>
  );
}

interface Props {
  graft: Graft;
  circuit: CircuitDesign;
  open: boolean;
  toggle: () => void;
}

function worst_words(doc: Graft, circuit: CircuitDesign): string {
  const failing = circuit.checks.filter((check) => !check.holds);
  const first = failing[0];
  if (!first) return "";
  const { words } = check_words(doc, first);
  return failing.length > 1 ? `${words}, and ${failing.length - 1} more` : words;
}

export function CircuitSheet({ graft: doc, circuit, open, toggle }: Props) {
  const worst = worst_words(doc, circuit);
  return (
    <section class="sheet design-circuit" aria-label={circuit.name}>
      <h2>
        <button type="button" class="circuit-head" aria-expanded={open} onClick={toggle}>
          <Mark name={circuit.holds ? "holds" : "fails"} />
          <span class="circuit-name">{circuit.name}</span>
          <span class="soft">
            {circuit.wires.length} {circuit.wires.length === 1 ? "wire" : "wires"}
            {worst && ` · ${worst}`}
          </span>
        </button>
      </h2>
      {(open || black_ink.value) && <Sheets doc={doc} circuit={circuit} />}
    </section>
  );
}

// Made when they are opened or printed: all at once they would block the page.
function Sheets({ doc, circuit }: { doc: Graft; circuit: CircuitDesign }) {
  return (
    <div class="stack">
      <ul class="design-items">
        {circuit.wires.map((wire) => (
          <WireSheet key={wire.wire} doc={doc} wire={wire} />
        ))}
        {circuit.fuses.map((fuse) => (
          <Fuse key={fuse.device} doc={doc} fuse={fuse} />
        ))}
      </ul>
      <Checks doc={doc} circuit={circuit} />
      {circuit.remedies.length > 0 && (
        <>
          <h3>What would mend it</h3>
          <ul class="remedies">
            {circuit.remedies.map((remedy, index) => (
              <RemedyBox key={index} doc={doc} remedy={remedy} circuit={circuit} />
            ))}
          </ul>
        </>
      )}
      <p class="no-print">
        <a href={route_to(graft.value?.name ?? "", "diagram", { circuit: circuit.id, show: "planned" })}>Its diagram</a>
      </p>
    </div>
  );
}
