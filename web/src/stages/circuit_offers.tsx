// What usually hangs on a pin like this: the best proposals with their drawing, the others by search. One tap takes one.

import { useEffect, useState } from "preact/hooks";
import type { CircuitCard, CircuitOffer, Graft, RecipeList } from "../api_types";
import { draft_of, use_draft } from "../drafts";
import { change_circuit } from "../net/circuits";
import { ask } from "../net/request";
import { Mark } from "../parts/mark";
import { Problems } from "../parts/problems";
import { route } from "../route";
import { CircuitRows } from "./circuit_rows";

const take = (card: CircuitCard, recipe: string): void =>
  void change_circuit(`${card.name || card.at}: circuit`, { change: "take", wire: card.wire, recipe });

function Offer({ graft, card, offer, best }: { graft: Graft; card: CircuitCard; offer: CircuitOffer; best: boolean }) {
  return (
    <li class={best ? "offer offer-best" : "offer"}>
      <h3>
        {offer.named ? <Mark name="passes" text="fits the name" /> : <Mark name="unsure" text="a guess from the pin's type" />}{" "}
        <span>{offer.text}</span>
      </h3>
      <CircuitRows graft={graft} rows={offer.rows} designs={[]} />
      <Problems list={offer.problems} />
      {offer.cautions !== "none" && <p class="caution">{offer.cautions}.</p>}
      <div class="buttons">
        <button type="button" class={best ? "primary" : ""} onClick={() => take(card, offer.recipe)}>
          Take it
        </button>
      </div>
      <details class="soft">
        <summary>Where this comes from</summary>
        <p>
          {offer.status}: {offer.source}
        </p>
      </details>
    </li>
  );
}

function OtherRecipes({ card, shown }: { card: CircuitCard; shown: ReadonlySet<string> }) {
  const [list, set_list] = useState<RecipeList["recipes"]>([]);
  const [text, set_text] = use_draft(route.value.graft, `offers.${card.wire}`, "");
  useEffect(() => {
    void ask<RecipeList>("/api/recipes").then((answer) => {
      if (answer.ok) set_list(answer.value.recipes);
    });
  }, []);
  const own = new Set(card.offers.map((offer) => offer.recipe));
  const words = text.toLowerCase().split(/\s+/).filter(Boolean);
  const found = list.filter((recipe) => {
    if (shown.has(recipe.recipe)) return false;
    const all = `${recipe.text} ${recipe.keywords.join(" ")} ${recipe.class}`.toLowerCase();
    return words.length > 0 ? words.every((word) => all.includes(word)) : own.has(recipe.recipe);
  });
  return (
    <section class="stack">
      <label class="field">
        <span class="field-name">Something else: search</span>
        <input value={text} onInput={(event) => set_text(event.currentTarget.value)} placeholder="valve, lamp, switch to earth …" />
      </label>
      <ul class="other-offers">
        {found.slice(0, 12).map((recipe) => (
          <li key={recipe.recipe}>
            <button type="button" onClick={() => take(card, recipe.recipe)}>
              {recipe.text}
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}

export function Offers({ graft, card }: { graft: Graft; card: CircuitCard }) {
  const [more, set_more] = useState(() => draft_of(route.value.graft, `offers.${card.wire}`, "") !== null);
  const drawn = card.offers.filter((offer) => offer.rows.length > 0);
  const visible = more ? drawn : drawn.slice(0, 1);
  return (
    <div class="stack">
      <ul class="offers">
        {visible.map((offer, index) => (
          <Offer key={offer.recipe} graft={graft} card={card} offer={offer} best={index === 0} />
        ))}
      </ul>
      {!more && (
        <div class="buttons">
          <button type="button" onClick={() => set_more(true)}>
            Something else
          </button>
          <button type="button" onClick={() => take(card, "retired_circuit")}>
            Leave it out
          </button>
        </div>
      )}
      {more && <OtherRecipes card={card} shown={new Set(drawn.map((offer) => offer.recipe))} />}
    </div>
  );
}
