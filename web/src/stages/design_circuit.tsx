// One circuit: its wires and fuses with sizes to set, its checks, and the remedies if no size helps.

import { useState } from "preact/hooks";
import type { CircuitDesign, FuseDesign, Graft } from "../api_types";
import { verdict_of } from "../model/circuit_verdict";
import { rating_member, subject_text } from "../model/measured";
import { figure } from "../model/units";
import { graft } from "../net/graft";
import { Mark } from "../parts/mark";
import { black_ink } from "../parts/print";
import { route_to } from "../route";
import { CheckRow, fails } from "./design_check";
import { MissingFacts } from "./design_missing";
import { RemedyBox } from "./design_remedy";
import { WireSheet } from "./design_wire";
import { MeasuredField } from "./measured_field";

function Fuse({ fuse, doc }: { fuse: FuseDesign; doc: Graft }) {
  return (
    <li class="design-item">
      <h3>{subject_text(doc, fuse.device)}</h3>
      <div class="row">
        <MeasuredField doc={doc} subject={fuse.device} member={rating_member} />
        <p>
          load {figure(fuse.load_a, "A")};{" "}
          {fuse.smallest_a === null ? "no usual fuse carries it" : `smallest rating that carries it ${figure(fuse.smallest_a, "A")}`}
          {fuse.family && ` · ${fuse.family}${fuse.family_assumed ? " (assumed)" : ""}`}
        </p>
      </div>
    </li>
  );
}

function Checks({ doc, circuit }: { doc: Graft; circuit: CircuitDesign }) {
  const [all, set_all] = useState(false);
  const important = circuit.checks.filter((check) => !check.passes || check.deciding);
  const shown = all || important.length === 0 ? circuit.checks : important;
  return (
    <>
      <h3>Checks</h3>
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

function worst_text(circuit: CircuitDesign): string {
  const failing = circuit.checks.filter(fails);
  const first = failing[0];
  if (!first) return "";
  return failing.length > 1 ? `${first.text}, and ${failing.length - 1} more` : first.text;
}

export function CircuitSheet({ graft: doc, circuit, open, toggle }: Props) {
  const worst = worst_text(circuit);
  const verdict = verdict_of(circuit);
  return (
    <section class="sheet design-circuit" aria-label={circuit.name}>
      <h2>
        <button type="button" class="circuit-head" aria-expanded={open} onClick={toggle}>
          {verdict === "unsure" ? <Mark name="unsure" text="not judged" /> : <Mark name={verdict} />}
          <span class="circuit-name">{circuit.name}</span>
          <span class="soft">
            {circuit.wires.length} {circuit.wires.length === 1 ? "wire" : "wires"}
            {worst && ` · ${worst}`}
          </span>
        </button>
      </h2>
      {(open || black_ink.value) && <CircuitDetails doc={doc} circuit={circuit} />}
    </section>
  );
}

// Rendered when opened or printed: all at once they would block the page.
function CircuitDetails({ doc, circuit }: { doc: Graft; circuit: CircuitDesign }) {
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
      <MissingFacts circuit={circuit} />
      <Checks doc={doc} circuit={circuit} />
      {circuit.remedies.length > 0 && (
        <>
          <h3>What would fix it</h3>
          <ul class="remedies">
            {circuit.remedies.map((remedy, index) => (
              <RemedyBox key={index} remedy={remedy} circuit={circuit} />
            ))}
          </ul>
        </>
      )}
      <p class="no-print">
        <a href={route_to(graft.value?.name ?? "", "diagram", { circuit: circuit.id, show: "planned" })}>Show its diagram</a>
      </p>
    </div>
  );
}
