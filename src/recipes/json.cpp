// The cards and the list of recipes as JSON (schema/circuits.schema.json).
#include <nlohmann/json.hpp>

#include "base/problem_json.h"
#include "loom/end_id.h"
#include "recipes/cards.h"

namespace loomgraft {
namespace {

using Json = nlohmann::ordered_json;

const char* name_of(recipes::RowPartKind kind) {
  switch (kind) {
    case recipes::RowPartKind::pin:
      return "pin";
    case recipes::RowPartKind::device:
      return "device";
    case recipes::RowPartKind::feed:
      return "feed";
    case recipes::RowPartKind::plug:
      return "plug";
    case recipes::RowPartKind::open:
      return "open";
  }
  return "open";
}

Json part_json(const CardPart& card) {
  return {{"part", name_of(card.part.kind)}, {"id", card.part.id}, {"name", card.name},
          {"kind", card.device_kind},        {"in", card.part.in}, {"out", card.part.out},
          {"wire", card.part.wire},          {"new", card.is_new}, {"guessed", card.guessed}};
}

Json rows_json(const std::vector<CardRow>& rows) {
  Json list = Json::array();
  for (const CardRow& row : rows) {
    Json parts = Json::array();
    for (const CardPart& part : row) parts.push_back(part_json(part));
    list.push_back(std::move(parts));
  }
  return list;
}

Json offer_json(const CardOffer& offer) {
  return {{"recipe", offer.recipe->id},
          {"text", offer.recipe->text},
          {"named", offer.named},
          {"rows", rows_json(offer.rows)},
          {"cautions", offer.recipe->cautions},
          {"source", offer.recipe->source},
          {"status", offer.recipe->status},
          {"problems", problems_json(offer.problems)}};
}

Json card_json(const CircuitCard& card) {
  Json offers = Json::array();
  for (const CardOffer& offer : card.offers) offers.push_back(offer_json(offer));
  return {{"wire", card.wire},
          {"name", card.name},
          {"at", card.at},
          {"end", end_id(card.pin)},
          {"class", name_of(card.pin_class)},
          {"added", card.added},
          {"open", card.open},
          {"forbidden", card.forbidden},
          {"guessed", card.guessed},
          {"recipe", card.recipe},
          {"rows", rows_json(card.rows)},
          {"offers", std::move(offers)}};
}

}  // namespace

Json to_json(const CardReport& report) {
  Json cards = Json::array();
  for (const CircuitCard& card : report.cards) cards.push_back(card_json(card));
  return {{"cards", std::move(cards)}, {"problems", problems_json(report.problems)}};
}

Json recipes_json() {
  Json list = Json::array();
  for (const Recipe& recipe : all_recipes()) {
    list.push_back(
        {{"recipe", recipe.id},
         {"text", recipe.text},
         {"class", recipe.pin_class == PinClass::unknown ? "" : std::string(name_of(recipe.pin_class))},
         {"keywords", recipe.keywords},
         {"cautions", recipe.cautions},
         {"checks", recipe.checks},
         {"twist_shield", recipe.twist_shield},
         {"suppression", recipe.suppression},
         {"source", recipe.source},
         {"status", recipe.status}});
  }
  return {{"recipes", std::move(list)}};
}

}  // namespace loomgraft
