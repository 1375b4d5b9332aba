// Circuits: a card for each circuit that the plan adds and for each wire without a far end.

import { useState } from "preact/hooks";
import type { CircuitCard, CircuitsReport, DesignReport, Graft } from "../api_types";
import { design_path, has_loom } from "../findings";
import { type CardState, card_state, designs_of } from "../model/circuit_cards";
import { change_circuit } from "../net/circuits";
import { doc } from "../net/graft";
import { use_report } from "../net/report";
import { Mark } from "../parts/mark";
import { Problems } from "../parts/problems";
import { Empty, ReportStatus } from "../parts/report_status";
import { route, select } from "../route";
import { AddCircuit } from "./circuit_add";
import { Card } from "./circuit_card";
import { ShapeChoice } from "./places_plan";

const filters = ["all", "missing", "fails", "guessed", "added", "left_alone"] as const;
type Filter = (typeof filters)[number];

interface Shown {
  card: CircuitCard;
  state: CardState;
}

const filter_texts: Record<Filter, string> = {
  all: "all",
  missing: "far end missing",
  fails: "fails",
  guessed: "to look at",
  added: "added by the plan",
  left_alone: "leave alone",
};

function passes_filter({ card, state }: Shown, filter: Filter): boolean {
  if (filter === "left_alone") return card.forbidden;
  if (filter === "missing") return card.open && !card.forbidden;
  if (filter === "fails") return state.mark === "fails" && !card.forbidden;
  if (filter === "guessed") return card.guessed && !card.open;
  return filter === "all" || card.added;
}

function Summary({ shown }: { shown: Shown[] }) {
  // A circuit that is left alone lacks nothing.
  const usable = shown.filter(({ card }) => !card.forbidden);
  const added = usable.filter(({ card }) => card.added);
  const missing = added.filter(({ card }) => card.open).length;
  const found = usable.filter(({ card }) => !card.added && card.open).length;
  const open = missing + found;
  if (open === 0) return <Mark name="passes" text="Every wire of the plan has two ends." />;
  return (
    <>
      <p>
        {missing > 0 && `${missing} of ${added.length} added circuits have no far end. `}
        {found > 0 && `${found} ${found === 1 ? "wire" : "wires"} of the loom as found nobody has followed yet. `}
        Take what is proposed, then look at each on the vehicle: a proposal is a guess until somebody has.
      </p>
      <div class="buttons">
        <button type="button" class="primary" onClick={() => void change_circuit("all proposed circuits", { change: "take_all" })}>
          Take all {open} proposals
        </button>
      </div>
    </>
  );
}

function Filters({ shown, filter, choose }: { shown: Shown[]; filter: Filter; choose: (filter: Filter) => void }) {
  return (
    <div class="filters no-print" role="group" aria-label="Show circuits">
      {filters.map((one) => {
        const count = shown.filter((item) => passes_filter(item, one)).length;
        if (count === 0 && one !== filter) return null;
        return (
          <button key={one} type="button" aria-pressed={one === filter} onClick={() => choose(one)}>
            {filter_texts[one]} {count}
          </button>
        );
      })}
    </div>
  );
}

// The card of a wire, or of a device in one of its rows: other stages link to either.
function chosen_wire(cards: CircuitCard[]): string {
  const wire = route.value.query.get("wire") ?? "";
  const device = route.value.query.get("device");
  const has = (card: CircuitCard) => card.rows.some((row) => row.some((part) => (device ? part.id === device : part.wire === wire)));
  if (cards.some((card) => card.wire === wire)) return wire;
  return cards.find(has)?.wire ?? "";
}

function Ready({ graft, report, design }: { graft: Graft; report: CircuitsReport; design: DesignReport | null }) {
  const [filter, set_filter] = useState<Filter>("all");
  const shown: Shown[] = report.cards.map((card) => ({ card, state: card_state(card, designs_of(card, design)) }));
  const at = chosen_wire(report.cards);
  return (
    <div class="stack">
      <section class="sheet stack" aria-label="Summary">
        {!graft.vehicle?.shape && (graft.places ?? []).length === 0 && (
          <div class="row">
            <ShapeChoice graft={graft} />
            <p class="soft">gives places and usual lengths, as guesses.</p>
          </div>
        )}
        <Summary shown={shown} />
        <Filters shown={shown} filter={filter} choose={set_filter} />
      </section>
      <ul class="circuit-cards">
        {shown
          .filter((item) => passes_filter(item, filter))
          .map(({ card, state }) => (
            <Card
              key={card.wire}
              graft={graft}
              card={card}
              state={state}
              designs={designs_of(card, design)}
              open={card.wire === at}
              toggle={() => select({ wire: card.wire === at ? "" : card.wire, device: "", part: "" })}
            />
          ))}
      </ul>
      <AddCircuit />
      <Problems list={report.problems} />
    </div>
  );
}

export function Circuits() {
  const graft = doc.value;
  const ready = graft !== null && has_loom(graft);
  const report = use_report<CircuitsReport>(ready ? "/reports/circuits" : null);
  const design = use_report<DesignReport>(graft ? design_path(graft) : null);
  if (!graft || !ready) {
    return (
      <Empty title="No plan yet" first="compare">
        <p>
          When the comparison is right, make it the plan (Compare, “Make this the plan”). Then each circuit that is added gets a card here:
          what is at the other end, its feed, fuse, relay and earth. The page proposes them; one tap takes a proposal.
        </p>
      </Empty>
    );
  }
  return (
    <>
      <ReportStatus report={report} what="Looking for what fits" />
      {report.value && <Ready graft={graft} report={report.value} design={design.value} />}
    </>
  );
}
