#include "contention/contention.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <memory>

#include "contention/pair.h"
#include "contention/text.h"

namespace loomgraft {

using namespace contention;
namespace {

constexpr std::size_t class_count = pin_class_names.size();

struct Pairing {
  PinClass loom = PinClass::unknown;
  PinClass pin = PinClass::unknown;
  SystemVolts system = SystemVolts::nominal_12;

  bool assumed() const { return loom == PinClass::unknown || pin == PinClass::unknown; }
  bool matched() const { return loom == pin && !assumed(); }
};

// What an unknown side could be is a guess: it may forbid plugging in, but it is never graded as fire.
void mark_assumed(Contention& result) {
  result.assumed = true;
  result.grade = std::min(result.grade, Grade::damage);
  result.reason = "Assumed, as a class is unknown: " + result.reason;
}

Contention contend_models(const Pairing& pairing, const PinModel& loom, const PinModel& pin) {
  const Finding worst = worst_of_models(loom, pin, pairing.system, pairing.matched());
  Contention result = describe(worst, loom, pin, pairing.matched());
  if (pairing.assumed()) mark_assumed(result);
  return result;
}

struct ClassTable {
  std::array<Grade, class_count * class_count> grades{};
  std::array<Contention, class_count * class_count> cells;
};

std::unique_ptr<const ClassTable> make_table(SystemVolts system) {
  auto table = std::make_unique<ClassTable>();
  for (std::size_t loom = 0; loom < class_count; ++loom) {
    for (std::size_t pin = 0; pin < class_count; ++pin) {
      const Pairing pairing{static_cast<PinClass>(loom), static_cast<PinClass>(pin), system};
      const std::size_t cell = loom * class_count + pin;
      table->cells[cell] = contend_models(pairing, pin_model(pairing.loom, PinSide::loom, system),
                                          pin_model(pairing.pin, PinSide::module, system));
      table->grades[cell] = table->cells[cell].grade;
    }
  }
  return table;
}

const ClassTable& table_of(SystemVolts system) {
  if (system == SystemVolts::nominal_24) {
    static const std::unique_ptr<const ClassTable> table = make_table(SystemVolts::nominal_24);
    return *table;
  }
  static const std::unique_ptr<const ClassTable> table = make_table(SystemVolts::nominal_12);
  return *table;
}

std::size_t cell_of(PinClass loom, PinClass pin) {
  return static_cast<std::size_t>(loom) * class_count + static_cast<std::size_t>(pin);
}

PinClass loom_class(const Pin& pin) {
  return pin.populated == false ? PinClass::no_connection : pin.pin_class;
}
PinClass donor_class(const Pin& pin) {
  return pin.hardware == false ? PinClass::no_connection : pin.pin_class;
}

bool positive(const std::optional<Amperes>& current) {
  return current && current->si > 0.0;
}

PinModel donor_model(const Pin& pin, PinModel model) {
  if (positive(pin.limits.current)) model.ratings.allowed = pin.limits.current;
  if (pin.limits.voltage && pin.limits.voltage->si > 0.0) model.ratings.highest = pin.limits.voltage;
  if (pin.limits.clamp_energy && pin.limits.clamp_energy->si >= 0.0) {
    model.ratings.clamp_energy = pin.limits.clamp_energy;
  }
  return model;
}

// A load made for a pin of a given current draws no more than that.
PinModel loom_model(const Pin& pin, PinModel model, SystemVolts system) {
  if (!positive(pin.limits.current) || model.ratings.kind != PinKind::load) return model;
  const Ohms smallest = Volts{contention_rule("charging_volts", system)} / *pin.limits.current;
  for (PinState& state : model.states) {
    state.lowest = std::max(state.lowest, smallest);
    state.highest = std::max(state.lowest, state.highest);
  }
  return model;
}

bool has_limits(const Pin& pin) {
  return pin.limits.current || pin.limits.voltage || pin.limits.clamp_energy;
}

// Electrically a match, but it would read or drive something else.
void check_terms(Contention& result, const Pin& loom_side, const Pin& pin, PinKind kind) {
  const bool carries_signal = kind == PinKind::input || kind == PinKind::output || kind == PinKind::bus;
  if (result.grade != Grade::harmless || !carries_signal) return;
  if (loom_side.term.empty() || pin.term.empty() || loom_side.term == pin.term) return;
  result.grade = Grade::false_signal;
  result.reason =
      fmt::format("The wire suits the pin electrically, but it carries {} where the donor expects {}.",
                  loom_side.term, pin.term);
}

// Pulses are read by more than one controller: a driver on their wire corrupts them for the others.
void check_pulses(Contention& result, const Pin& loom_side, const Pin& pin, PinKind kind) {
  if (result.grade != Grade::harmless || kind != PinKind::output) return;
  if (loom_side.term.empty() || pin.term.empty() || loom_side.term == pin.term) return;
  result.grade = Grade::false_signal;
  result.reason = fmt::format(
      "The donor drives {} on the wire that carries the pulses of {}: other modules that read them are "
      "misled.",
      pin.term, loom_side.term);
}

}  // namespace

Contention contend(const Pin& loom_side, const Pin& pin, const ContentionOptions& options) {
  const Pairing pairing{loom_class(loom_side), donor_class(pin), system_of(options.supply)};
  const PinModel& donor = pin_model(pairing.pin, PinSide::module, pairing.system);
  Contention result;
  if (has_limits(pin) || has_limits(loom_side)) {
    const PinModel& loom = pin_model(pairing.loom, PinSide::loom, pairing.system);
    result = contend_models(pairing, loom_model(loom_side, loom, pairing.system), donor_model(pin, donor));
  } else {
    result = table_of(pairing.system).cells[cell_of(pairing.loom, pairing.pin)];
  }
  if (pairing.matched()) check_terms(result, loom_side, pin, donor.ratings.kind);
  if (pairing.loom == PinClass::digital_sensor_input)
    check_pulses(result, loom_side, pin, donor.ratings.kind);
  return result;
}

Grade class_grade(PinClass loom, PinClass pin, Volts supply) {
  return table_of(system_of(supply)).grades[cell_of(loom, pin)];
}

}  // namespace loomgraft
