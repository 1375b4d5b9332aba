#include "plug/cell.h"

namespace loomgraft::plug {
namespace {

std::size_t at(int hue) {
  return static_cast<std::size_t>(hue);
}

// A wire of unknown colour.
double any_wire(Hues seen, const SeeingCondition& condition, const PlugOdds& odds) {
  const double tracer = odds.tracer_share * (1.0 - condition.tracer_unseen);
  const double base = odds.hue_share[at(seen.base)];
  return seen.tracer < 0 ? base * (1.0 - tracer) : base * tracer * odds.hue_share[at(seen.tracer)];
}

double plain_wire(Hues seen, const PlugCell& cell, const SeeingCondition& condition, const PlugOdds& odds) {
  const double base = condition.seen_as[at(cell.hues.base)][at(seen.base)];
  const double tracer = cell.tracer_false * (1.0 - condition.tracer_unseen);
  return seen.tracer < 0 ? base * (1.0 - tracer) : base * tracer * odds.hue_share[at(seen.tracer)];
}

double traced_wire(Hues seen, const PlugCell& cell, const SeeingCondition& condition, const PlugOdds& odds) {
  const auto& base = condition.seen_as[at(cell.hues.base)];
  const auto& tracer = condition.seen_as[at(cell.hues.tracer)];
  if (seen.tracer < 0) return condition.tracer_unseen * base[at(seen.base)];
  const double straight = base[at(seen.base)] * tracer[at(seen.tracer)];
  const double swapped = tracer[at(seen.base)] * base[at(seen.tracer)];
  return (1.0 - condition.tracer_unseen) *
         ((1.0 - odds.tracer_swapped) * straight + odds.tracer_swapped * swapped);
}

double wire_chance(Hues seen, const PlugCell& cell, const SeeingCondition& condition, const PlugOdds& odds) {
  const double any = any_wire(seen, condition, odds);
  if (cell.hues.base < 0) return any;
  const double as_listed = cell.hues.tracer < 0 ? plain_wire(seen, cell, condition, odds)
                                                : traced_wire(seen, cell, condition, odds);
  return (1.0 - odds.wire_other_colour) * as_listed + odds.wire_other_colour * any;
}

double emptiness(const Pin* pin, const PlugOdds& odds) {
  if (pin == nullptr) return odds.empty_undocumented;
  if (pin->populated.has_value()) {
    return *pin->populated ? odds.empty_where_populated : odds.empty_where_none;
  }
  if (hues_of(pin->colour).base >= 0) return odds.empty_where_wire;
  if (pin->pin_class == PinClass::no_connection) return odds.empty_where_none;
  return pin->signal.empty() ? odds.empty_undocumented : odds.empty_where_signal;
}

}  // namespace

PlugCell cell_in_general(const PlugOdds& odds) {
  return {{}, odds.empty_in_general, odds.tracer_false, odds.large_in_general};
}

PlugCell cell_of(const Pin* pin, bool tracers_given, const PlugOdds& odds) {
  PlugCell cell = cell_in_general(odds);
  cell.empty = emptiness(pin, odds);
  if (pin != nullptr) cell.hues = hues_of(pin->colour);
  if (!tracers_given) cell.tracer_false = odds.tracer_untold;
  return cell;
}

double chance_of(const CavityEvidence& item, const PlugCell& cell, const SeeingCondition& condition,
                 const PlugOdds& odds) {
  double chance = 1.0;
  if (item.large.has_value()) chance = *item.large ? cell.large : 1.0 - cell.large;
  if (!item.shows_wire()) return chance;
  const double wire = (1.0 - cell.empty) * (1.0 - odds.empty_seen_with_wire);
  const double phantom = cell.empty * odds.wire_seen_in_empty;
  if (item.hues.base >= 0) {
    return chance * (wire * wire_chance(item.hues, cell, condition, odds) +
                     phantom * any_wire(item.hues, condition, odds));
  }
  return chance * (*item.empty ? 1.0 - wire - phantom : wire + phantom);
}

}  // namespace loomgraft::plug
