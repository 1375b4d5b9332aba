#include "recipes/cards.h"

#include <algorithm>
#include <set>

#include "loom/forbidden.h"
#include "loom/plan.h"
#include "network/cavity_pins.h"
#include "recipes/complete.h"
#include "recipes/offer.h"
#include "recipes/part_names.h"
#include "recipes/parts_internal.h"
#include "text/natural_order.h"

namespace loomgraft {

using namespace recipes;
namespace {

constexpr std::size_t offers_shown_whole = 3;

std::string cavity_text(const Graft& graft, const std::string& connector, const std::string& cavity) {
  const Connector* plug = find_connector(graft, connector);
  return (plug && !plug->name.empty() ? plug->name : connector) + "-" + cavity;
}

CardPart card_part(const Graft& before, const Graft& graft, const RowPart& part) {
  CardPart card{part, {}, {}, false, false};
  if (part.kind == RowPartKind::open) return card;
  if (part.kind == RowPartKind::pin || part.kind == RowPartKind::plug) {
    card.name = cavity_text(graft, part.id, part.in);
    return card;
  }
  const Device* device = find_by_id(graft.devices, part.id);
  if (!device) {
    card.name = cavity_text(graft, part.id, part.in);
    return card;
  }
  card.name = device->name.empty() ? device->id : device->name;
  card.device_kind = device->kind;
  card.guessed = device->guessed;
  card.is_new = !find_by_id(before.devices, part.id);
  return card;
}

std::vector<CardRow> card_rows(const Graft& before, const Graft& graft, const std::vector<CircuitRow>& rows) {
  std::vector<CardRow> cards;
  for (const CircuitRow& row : rows) {
    CardRow card;
    for (const RowPart& part : row) card.push_back(card_part(before, graft, part));
    cards.push_back(std::move(card));
  }
  return cards;
}

CardOffer offer_card(const Graft& graft, const std::string& wire, const Offer& offer, bool whole,
                     const ForbiddenParts& forbidden) {
  CardOffer card{offer.recipe, offer.named, {}, {}};
  if (!whole) return card;
  Completion completion = complete_circuit(graft, {wire, offer.recipe->id, {}}, forbidden);
  card.rows = card_rows(graft, completion.graft,
                        circuit_rows(completion.graft, as_planned(completion.graft).wires, wire));
  card.problems = std::move(completion.problems);
  return card;
}

void add_offers(const Graft& graft, const OpenWire& wire, const ForbiddenParts& forbidden,
                CircuitCard& card) {
  std::size_t count = 0;
  for (const Offer& offer : offers_for(wire))
    card.offers.push_back(offer_card(graft, wire.id, offer, count++ < offers_shown_whole, forbidden));
}

// A planned wire at a module's pin.
std::optional<WireEnd> pin_end(const Graft& graft, const Wire& wire) {
  for (const WireEnd& end : {wire.from, wire.to}) {
    if (find_connector(graft, end.at) && pin_at(graft, end).module) return end;
  }
  return std::nullopt;
}

// Wires of pins in a card's rows: they need no card of their own.
void note_wires(const std::vector<CircuitRow>& rows, std::set<std::string>& shown) {
  for (const CircuitRow& row : rows) {
    for (const RowPart& part : row) {
      if (!part.wire.empty()) shown.insert(part.wire);
    }
  }
}

CircuitCard complete_card(const Graft& graft, const std::vector<Wire>& planned, const Wire& wire,
                          const WireEnd& pin, const ForbiddenParts& forbidden, std::set<std::string>& shown) {
  CircuitCard card;
  card.wire = wire.id;
  card.pin = pin;
  const PinAt at = pin_at(graft, pin);
  card.pin_class = at.pin ? at.pin->pin_class : PinClass::unknown;
  card.forbidden = forbidden.wires.contains(wire.id) || forbidden.has(pin);
  card.name = !wire.signal.empty() || !at.pin ? wire.signal : at.pin->signal;
  card.at = cavity_text(graft, pin.at, pin.cavity);
  card.added = !find_by_id(graft.wires, wire.id);
  card.guessed = wire.guessed;
  const auto rows = circuit_rows(graft, planned, wire.id);
  note_wires(rows, shown);
  card.rows = card_rows(graft, graft, rows);
  for (const CardRow& row : card.rows) {
    for (const CardPart& part : row) {
      // What a new circuit joins has a card of its own, or is a feed.
      card.guessed = card.guessed || (!card.added && part.guessed && part.part.kind != RowPartKind::feed);
      const Device* device = find_by_id(graft.devices, part.part.id);
      if (device && card.recipe.empty() && device->recipe != vehicle_supply) card.recipe = device->recipe;
    }
  }
  return card;
}

void add_complete_cards(const Graft& graft, const std::vector<Wire>& planned, const ForbiddenParts& forbidden,
                        bool added, CardReport& report, std::set<std::string>& shown) {
  for (const Wire& wire : planned) {
    if (wire.from.at.empty() || wire.to.at.empty() || shown.contains(wire.id)) continue;
    const bool of_plan = !find_by_id(graft.wires, wire.id);
    if (of_plan != added || (!of_plan && !wire.guessed)) continue;
    const auto pin = pin_end(graft, wire);
    if (pin) report.cards.push_back(complete_card(graft, planned, wire, *pin, forbidden, shown));
  }
}

void add_open_cards(const Graft& graft, const std::vector<Wire>& planned, const ForbiddenParts& forbidden,
                    bool added, CardReport& report, const StopToken& stop) {
  for (const OpenWire& wire : open_wires(graft, planned, forbidden)) {
    if (wire.added != added || stop.stop_requested()) continue;
    CircuitCard card;
    card.wire = wire.id;
    card.name = wire.signal;
    card.pin = wire.pin;
    card.at = cavity_text(graft, wire.pin.at, wire.pin.cavity);
    card.pin_class = wire.pin_class;
    card.added = added;
    card.open = true;
    card.forbidden = wire.forbidden;
    if (!card.forbidden) add_offers(graft, wire, forbidden, card);
    report.cards.push_back(std::move(card));
  }
}

}  // namespace

CardReport circuit_cards(const Graft& graft, const StopToken& stop) {
  CardReport report;
  PlannedWires planned = as_planned(graft);
  report.problems = std::move(planned.problems);
  std::set<std::string> shown;
  const ForbiddenParts forbidden = forbidden_parts(graft);
  for (const bool added : {true, false}) {
    add_complete_cards(graft, planned.wires, forbidden, added, report, shown);
    add_open_cards(graft, planned.wires, forbidden, added, report, stop);
  }
  std::ranges::stable_sort(report.cards, [](const CircuitCard& a, const CircuitCard& b) {
    return a.added != b.added ? a.added : natural_compare(a.at, b.at) < 0;
  });
  return report;
}

}  // namespace loomgraft
