#include "contention/pair.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "base/bug.h"

namespace loomgraft::contention {
namespace {

// Leakage resistance of a one-way path in the other direction: far too high to reach any limit in the data.
constexpr Ohms one_way_leak{1e9};
constexpr double unlimited = std::numeric_limits<double>::infinity();

double open_volts(const PinState& state) {
  return state.one_way == OneWay::into ? 0.0 : state.volts.si;
}

void add_state(Circuit& circuit, const PinState& state) {
  if (state.one_way == OneWay::into) {
    circuit.diodes.push_back({cavity_node, earth_node, state.volts, state.lowest, one_way_leak});
  } else {
    circuit.sources.push_back({cavity_node, earth_node, state.volts, state.lowest, state.limit});
  }
}

Ohms clamp_resistance(SystemVolts system) {
  static const std::array<double, 2> both{contention_rule("clamp_resistance", SystemVolts::nominal_12),
                                          contention_rule("clamp_resistance", SystemVolts::nominal_24)};
  return {both[static_cast<std::size_t>(system)]};
}

// The node's voltage lies between the open-circuit volts of the two sides, so a clamp outside conducts
// nothing.
void add_clamps(Circuit& circuit, const PinRatings& ratings, double lowest, double highest,
                SystemVolts system) {
  if (ratings.clamp_low && lowest < ratings.clamp_low->si) {
    circuit.diodes.push_back(
        {earth_node, cavity_node, -*ratings.clamp_low, clamp_resistance(system), {unlimited}});
  }
  if (ratings.clamp_high && highest > ratings.clamp_high->si) {
    circuit.diodes.push_back(
        {cavity_node, earth_node, *ratings.clamp_high, clamp_resistance(system), {unlimited}});
  }
}

struct FuseRules {
  double opens_at = 0.0;  // times its rating, at the latest
};
const FuseRules& fuse_rules() {
  static const FuseRules rules{contention_rule("fuse_opens_at", SystemVolts::nominal_12)};
  return rules;
}

// The worst limit that a pair of states exceeds.
struct WorstFinding {
  Finding worst;
  Finding base;

  void add(Grade grade, Cause cause, double figure, double limit, double rest = 0.0) {
    // A current equal to its limit, as of a source at its own limit, exceeds nothing.
    const double excess = limit > 0.0 ? figure / limit : unlimited;
    if (excess <= 1.0 + 1e-6) return;
    if (grade < worst.grade || (grade == worst.grade && excess <= worst.excess)) return;
    worst = base;
    worst.grade = grade;
    worst.cause = cause;
    worst.excess = excess;
    worst.limit = limit;
    worst.rest = rest;
  }
};

bool gives_feed(PinKind kind, const PinState& state) {
  return state.from_supply &&
         (kind == PinKind::feed || kind == PinKind::feed_in || kind == PinKind::feed_out);
}

void check_fire(WorstFinding& found, const PinModel& loom, const PinState& loom_state, const PinModel& pin,
                const PinState& pin_state) {
  const double size = std::abs(found.base.current.si);
  const double carries = loom.ratings.wire_current.si;
  if (size <= carries) return;
  const bool short_to_earth =
      (gives_feed(loom.ratings.kind, loom_state) && pin.ratings.kind == PinKind::earth) ||
      (gives_feed(pin.ratings.kind, pin_state) && loom.ratings.kind == PinKind::earth);
  if (short_to_earth) found.add(Grade::fire, Cause::dead_short, size, carries);
  const bool from_loom = loom_state.from_supply && found.base.current.si > 0.0;
  const auto& fuse = from_loom ? loom.ratings.fuse : pin.ratings.fuse;
  const bool stopped = fuse && fuse->si <= carries && size >= fuse_rules().opens_at * fuse->si;
  if (!stopped) found.add(Grade::fire, Cause::wire_overload, size, carries);
}

// A voltage that the pin itself produces does not damage it.
void check_voltage(WorstFinding& found, Cause cause, const PinRatings& ratings, const PinState& own) {
  constexpr double moved = 1e-3;
  const double volts = found.base.voltage.si;
  if (ratings.highest && volts > open_volts(own) + moved) {
    found.add(Grade::damage, cause, volts, ratings.highest->si);
  }
  if (ratings.lowest && volts < open_volts(own) - moved) {
    found.add(Grade::damage, cause, -volts, -ratings.lowest->si);
  }
}

void check_damage(WorstFinding& found, const PinModel& loom, const PinState& loom_state, const PinModel& pin,
                  const PinState& pin_state) {
  const double size = std::abs(found.base.current.si);
  if (pin.ratings.allowed) found.add(Grade::damage, Cause::pin_current, size, pin.ratings.allowed->si);
  if (loom.ratings.allowed) found.add(Grade::damage, Cause::loom_current, size, loom.ratings.allowed->si);
  // A conducting clamp holds the voltage: then its current decides.
  if (!(pin.ratings.clamp_low && found.base.voltage < *pin.ratings.clamp_low)) {
    check_voltage(found, Cause::pin_voltage, pin.ratings, pin_state);
  }
  check_voltage(found, Cause::loom_voltage, loom.ratings, loom_state);
  if (pin.ratings.clamp_energy && pin.ratings.kind == PinKind::output) {
    found.add(Grade::damage, Cause::clamp_energy, found.base.energy.si, pin.ratings.clamp_energy->si);
  }
}

enum class Level { low, between, high };

Level level_of(const PinRatings& ratings, double volts) {
  if (volts <= ratings.logic_low->si) return Level::low;
  return volts >= ratings.logic_high->si ? Level::high : Level::between;
}

void check_reading(WorstFinding& found, const PinRatings& ratings, const PinState& state, bool key_off) {
  const double rest = open_volts(state);
  const double volts = found.base.voltage.si;
  const double shift = std::abs(volts - rest);
  if (ratings.kind == PinKind::feed_in) {
    if (key_off && ratings.disturbed_by && !state.from_supply) {
      found.add(Grade::false_signal, Cause::live_with_key_off, shift, ratings.disturbed_by->si, rest);
    }
    return;
  }
  if (key_off) return;  // a module without supply reads nothing
  if (ratings.disturbed_by) {
    found.add(Grade::false_signal, Cause::reading_shifted, shift, ratings.disturbed_by->si, rest);
  }
  if (ratings.logic_low && level_of(ratings, volts) != level_of(ratings, rest)) {
    // How far the voltage passes the limit of its own level.
    const double kept = rest >= ratings.logic_high->si ? rest - ratings.logic_high->si
                                                       : std::max(ratings.logic_low->si - rest, 0.0);
    found.add(Grade::false_signal, Cause::reading_shifted, shift, kept, rest);
  }
}

void check_signals(WorstFinding& found, const PinModel& loom, const PinState& loom_state, const PinModel& pin,
                   const PinState& pin_state) {
  const bool key_off = loom_state.key == KeyState::off || pin_state.key == KeyState::off;
  check_reading(found, pin.ratings, pin_state, key_off);
  if (loom.ratings.works_at) {
    found.add(Grade::false_signal, Cause::load_operated, std::abs(found.base.current.si),
              loom.ratings.works_at->si);
  }
  const bool watched = loom.ratings.kind == PinKind::feed || !key_off;
  if (loom.ratings.disturbed_by && watched) {
    const double rest = open_volts(loom_state);
    found.add(Grade::false_signal, Cause::loom_disturbed, std::abs(found.base.voltage.si - rest),
              loom.ratings.disturbed_by->si, rest);
  }
}

}  // namespace

Circuit contention_circuit(const PinState& loom, const PinModel& pin_model, const PinState& pin,
                           SystemVolts system) {
  Circuit circuit;
  circuit.node_count = 2;
  circuit.sources.reserve(2);
  add_state(circuit, loom);
  add_state(circuit, pin);
  const auto [lowest, highest] = std::minmax({open_volts(loom), open_volts(pin)});
  add_clamps(circuit, pin_model.ratings, lowest, highest, system);
  return circuit;
}

bool key_allows(const PinState& loom, const PinState& pin) {
  return loom.key == KeyState::any || pin.key == KeyState::any || loom.key == pin.key;
}

PairPoint solve_pair(const PinState& loom, const PinModel& pin_model, const PinState& pin,
                     SystemVolts system) {
  const auto point = solve(contention_circuit(loom, pin_model, pin, system));
  if (!point) bug("pin data make no circuit: " + loom.name + " on " + pin.name);
  const Amperes current = loom.one_way == OneWay::into ? -point->diodes.front() : point->sources.front();
  return {current, point->nodes[cavity_node.value]};
}

Finding worst_of_pair(const PinModel& loom, const PinState& loom_state, const PinModel& pin,
                      const PinState& pin_state, SystemVolts system, bool matched) {
  const PairPoint point = solve_pair(loom_state, pin, pin_state, system);
  WorstFinding found;
  found.base.current = point.current;
  found.base.voltage = point.voltage;
  found.base.energy = {0.5 * loom_state.inductance.si * point.current.si * point.current.si};
  found.base.loom = &loom_state;
  found.base.pin = &pin_state;
  found.worst = found.base;
  check_fire(found, loom, loom_state, pin, pin_state);
  check_damage(found, loom, loom_state, pin, pin_state);
  if (!matched) check_signals(found, loom, loom_state, pin, pin_state);
  return found.worst;
}

Finding worst_of_models(const PinModel& loom, const PinModel& pin, SystemVolts system, bool matched) {
  Finding worst;
  for (const PinState& loom_state : loom.states) {
    for (const PinState& pin_state : pin.states) {
      if (!key_allows(loom_state, pin_state)) continue;
      const Finding found = worst_of_pair(loom, loom_state, pin, pin_state, system, matched);
      const auto more_current = [&] { return std::abs(found.current.si) > std::abs(worst.current.si); };
      if (!worst.loom || found.grade > worst.grade ||
          (found.grade == worst.grade &&
           (found.grade == Grade::harmless ? more_current() : found.excess > worst.excess))) {
        worst = found;
      }
    }
  }
  return worst;
}

}  // namespace loomgraft::contention
