// The figures of a card: what fails or decides, with what would fix it; everything else is one tap away in Design.

import type { CircuitDesign, Graft } from "../api_types";
import { fails_design, verdict_of } from "../model/circuit_verdict";
import { graft as open_graft } from "../net/graft";
import { route_to } from "../route";
import { CheckRow } from "./design_check";
import { MissingFacts } from "./design_missing";
import { RemedyBox } from "./design_remedy";

function Circuit({ graft, circuit }: { graft: Graft; circuit: CircuitDesign }) {
  const shown = circuit.checks.filter((check) => !check.passes || check.deciding);
  return (
    <>
      <MissingFacts circuit={circuit} />
      <ul class="checks">
        {shown.map((check, index) => (
          <CheckRow key={`${check.check} ${check.subject} ${index}`} doc={graft} check={check} />
        ))}
      </ul>
      {circuit.remedies.length > 0 && (
        <ul class="remedies">
          {circuit.remedies.map((remedy, index) => (
            <RemedyBox key={index} remedy={remedy} circuit={circuit} />
          ))}
        </ul>
      )}
    </>
  );
}

export function CardFigures({ graft, designs }: { graft: Graft; designs: readonly CircuitDesign[] }) {
  if (designs.length === 0) return null;
  const first = designs[0];
  const failing = designs.filter(fails_design);
  const unjudged = designs.filter((circuit) => verdict_of(circuit) === "unsure");
  // What the state of the card rests on.
  const shown = [failing, unjudged, designs.slice(0, 1)].find((list) => list.length > 0) ?? [];
  const passing = designs.flatMap((circuit) => circuit.checks).filter((check) => check.passes).length;
  return (
    <section class="stack card-figures" aria-label="Figures">
      {shown.map((circuit) => (
        <Circuit key={circuit.id} graft={graft} circuit={circuit} />
      ))}
      <p class="soft">
        {passing} checks pass.{" "}
        <a href={route_to(open_graft.value?.name ?? "", "design", { circuit: first?.id ?? "" })}>All figures of this circuit</a>
      </p>
    </section>
  );
}
