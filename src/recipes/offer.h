// Which recipes suit an open wire, the best first.
//
// Model   only recipes for the class of its pin, any where the class is unknown; a recipe that shares words with the
//         signal's name comes before one that is merely usual for the class
// Gives   `named` where words of the signal decided: else the class alone did, which is a guess
#pragma once

#include <vector>

#include "recipes/open_wires.h"
#include "recipes/recipe.h"

namespace loomgraft::recipes {

struct Offer {
  const Recipe* recipe = nullptr;
  int score = 0;
  bool named = false;
};

std::vector<Offer> offers_for(const OpenWire& wire);

}  // namespace loomgraft::recipes
