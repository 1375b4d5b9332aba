#include <fmt/format.h>

#include <algorithm>

#include "compare/claim_sides_internal.h"
#include "compare/losses_internal.h"
#include "contention/contention.h"
#include "standards/dictionary.h"

namespace loomgraft::compare {
namespace {

PinClass class_by_name(const Pin& pin) {
  if (pin.pin_class != PinClass::unknown) return pin.pin_class;
  const std::string hint = term_dictionary().normalise(pin.signal).class_hint;
  return pin_class_of(hint).value_or(PinClass::unknown);
}

bool serves_module_only(PinClass pin_class) {
  switch (pin_class) {
    case PinClass::no_connection:
    case PinClass::supply_30:
    case PinClass::supply_15:
    case PinClass::power_earth:
    case PinClass::sensor_earth:
    case PinClass::reference_5v:
    case PinClass::shield:
      return true;
    default:
      return false;
  }
}

std::optional<Loss> loss_of_claim(const Pin& found) {
  if (found.signal.empty() || serves_module_only(class_by_name(found))) return std::nullopt;
  const Consequence* known = loom_side_of(found).consequences.lost;
  Loss loss;
  loss.consequence = known;
  loss.grade = std::max(Grade::false_signal, known ? grade_of(known->lost) : Grade::harmless);
  loss.reason = known ? fmt::format("\"{}\" is lost: {}.", found.signal, known->when_lost)
                      : fmt::format("\"{}\" is lost: nothing does its work any more.", found.signal);
  return loss;
}

}  // namespace

std::optional<Loss> loss_of(const Pin& found) {
  std::optional<Loss> worst = loss_of_claim(found);
  for (const Pin& claimed : disagreeing_claims(found)) {
    const std::optional<Loss> loss = loss_of_claim(claimed);
    if (!loss) continue;
    const bool worse =
        !worst || loss->grade > worst->grade || (loss->grade == worst->grade && loss->reason < worst->reason);
    if (worse) worst = loss;
  }
  return worst;
}

}  // namespace loomgraft::compare
