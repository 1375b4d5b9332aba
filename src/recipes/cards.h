// A card for each circuit that the plan adds and each wire without a far end: what is there, and what recipes propose.
//
// Gives   cards of added circuits first; a sensor with several pins has one card. Offers are the best first, the first few
//         with the circuit as it would be
// Cost    one completed copy of the graft for each offer that is shown whole
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "base/problem.h"
#include "base/stop.h"
#include "loom/graft.h"
#include "recipes/circuit_rows.h"
#include "recipes/recipe.h"

namespace loomgraft {

struct CardPart {
  recipes::RowPart part;
  std::string name;         // "fog lamp relay", "C2-31"
  std::string device_kind;  // of a device
  bool is_new = false;      // it would be added
  bool guessed = false;
};

using CardRow = std::vector<CardPart>;

struct CardOffer {
  const Recipe* recipe = nullptr;
  bool named = false;  // words of the signal suggest it; else it is merely usual for the pin's class
  std::vector<CardRow> rows;
  Problems problems;
};

struct CircuitCard {
  std::string wire;
  std::string name;
  WireEnd pin;
  std::string at;  // "C2-31"
  PinClass pin_class = PinClass::unknown;
  bool added = false;
  bool open = false;
  bool forbidden = false;
  bool guessed = false;  // nobody has looked at it yet
  std::string recipe;    // that it was made by, where one was
  std::vector<CardRow> rows;
  std::vector<CardOffer> offers;
};

struct CardReport {
  std::vector<CircuitCard> cards;
  Problems problems;
};

CardReport circuit_cards(const Graft& graft, const StopToken& stop = {});
nlohmann::ordered_json to_json(const CardReport& report);

// The list of recipes, for choosing one by search.
nlohmann::ordered_json recipes_json();

}  // namespace loomgraft
