// One circuit: closed, one line with its state; open, its drawing, what is proposed, its figures, and what can be changed.

import type { CircuitCard, CircuitDesign, Graft } from "../api_types";
import type { CardState } from "../model/circuit_cards";
import { class_text } from "../model/pin_classes";
import { change_circuit } from "../net/circuits";
import { graft as open_graft } from "../net/graft";
import { Mark } from "../parts/mark";
import { route, route_to, select } from "../route";
import { CardFigures } from "./circuit_figures";
import { Offers } from "./circuit_offers";
import { PartEditor } from "./circuit_part";
import { CircuitRows } from "./circuit_rows";

interface Props {
  graft: Graft;
  card: CircuitCard;
  state: CardState;
  designs: readonly CircuitDesign[];
  open: boolean;
  toggle: () => void;
}

const chain_text = (card: CircuitCard): string =>
  (card.rows[0] ?? [])
    .slice(1)
    .map((part) => part.name)
    .filter((name) => name !== "")
    .join(" – ");

function line_text(card: CircuitCard): string {
  if (card.forbidden) return "restraint or high voltage: for trained people with the maker's procedure";
  if (!card.open) return chain_text(card);
  const [best] = card.offers;
  return best ? `proposed: ${best.text}` : "";
}

function Actions({ card }: { card: CircuitCard }) {
  const name = card.name || card.at;
  const what = { wire: card.wire };
  const left_out = card.recipe === "retired_circuit";
  return (
    <div class="buttons circuit-actions no-print">
      {card.guessed && (
        <button type="button" class="primary" onClick={() => void change_circuit(`${name} looked at`, { change: "confirm", ...what })}>
          I have looked: it is so
        </button>
      )}
      {card.recipe !== "" && (
        <button type="button" onClick={() => void change_circuit(`${name} opened again`, { change: "reopen", ...what })}>
          Choose something else
        </button>
      )}
      {!left_out && (
        <button
          type="button"
          onClick={() => void change_circuit(`${name} left out`, { change: "take", ...what, recipe: "retired_circuit" })}
        >
          Leave it out
        </button>
      )}
      <a class="button" href={route_to(open_graft.value?.name ?? "", "diagram", { circuit: card.wire, show: "planned" })}>
        Its diagram
      </a>
    </div>
  );
}

function OpenCard({ graft, card, designs }: Omit<Props, "state" | "open" | "toggle">) {
  const chosen = route.value.query.get("part") ?? "";
  const pick = (part: string) => select({ part: part === chosen ? "" : part });
  if (card.forbidden) {
    return <p class="caution">Do not probe, cut or join this circuit. It is for trained people with the maker's procedure.</p>;
  }
  if (card.open) return <Offers graft={graft} card={card} />;
  return (
    <div class="stack">
      {card.recipe === "retired_circuit" && (
        <p class="doubt">
          Left out: the wire is insulated and tied back, and “{card.name || card.at}” will not work. The module may store a trouble code for
          it.
        </p>
      )}
      <CircuitRows graft={graft} rows={card.rows} designs={designs} chosen={chosen} pick={pick} />
      {chosen !== "" ? (
        <PartEditor graft={graft} subject={chosen} designs={designs} done={() => select({ part: "" })} />
      ) : (
        <p class="soft no-print">Tap a part or a wire to change it.</p>
      )}
      <CardFigures graft={graft} designs={designs} />
      <Actions card={card} />
    </div>
  );
}

export function Card({ graft, card, state, designs, open, toggle }: Props) {
  return (
    <li class={open ? "sheet circuit-card circuit-card-open" : "sheet circuit-card"} data-wire={card.wire}>
      <h2>
        <button type="button" class="circuit-head" aria-expanded={open} onClick={toggle}>
          <span class="circuit-at">{card.at}</span>
          <span class="circuit-name">
            {card.name || "no signal stated"} {card.added && <span class="new-badge">new</span>}
          </span>
          <Mark name={state.mark} text={state.text} />
          {!open && <span class="soft circuit-line">{line_text(card)}</span>}
        </button>
      </h2>
      {open && <p class="soft">{class_text(card.class)}</p>}
      {open && <OpenCard graft={graft} card={card} designs={designs} />}
    </li>
  );
}
