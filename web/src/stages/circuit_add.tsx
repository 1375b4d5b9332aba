// Circuits that need no pin of the module: a trailer socket's feeds, a second battery. Chosen from a list of their own.

import { useState } from "preact/hooks";
import type { RecipeList } from "../api_types";
import { change_circuit } from "../net/circuits";
import { ask } from "../net/request";

export function AddCircuit() {
  const [list, set_list] = useState<RecipeList["recipes"] | null>(null);
  const open = async () => {
    const answer = await ask<RecipeList>("/api/recipes");
    if (answer.ok) set_list(answer.value.recipes.filter((recipe) => recipe.class === ""));
  };
  if (!list) {
    return (
      <div class="buttons no-print">
        <button type="button" onClick={() => void open()}>
          Add a circuit without a module pin
        </button>
      </div>
    );
  }
  return (
    <section class="sheet stack no-print" aria-label="Circuits without a module pin">
      <h2>Circuits without a module pin</h2>
      <ul class="other-offers">
        {list.map((recipe) => (
          <li key={recipe.recipe}>
            <button
              type="button"
              onClick={() => void change_circuit(recipe.text, { change: "take", recipe: recipe.recipe }).then(() => set_list(null))}
            >
              {recipe.text}
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}
