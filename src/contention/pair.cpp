#include "contention/pair.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace loomgraft::contention {
namespace {

// Leakage resistance of a one-way path in the other direction: far too high to reach any limit in the data.
constexpr Ohms one_way_leak{1e9};
constexpr double unlimited = std::numeric_limits<double>::infinity();

double open_volts(const PinState& state) {
  return state.one_way == OneWay::into ? 0.0 : state.volts.si;
}

void add_state(Circuit& circuit, const StateCorner& corner) {
  const PinState& state = corner.of->state;
  if (state.one_way == OneWay::into) {
    circuit.diodes.push_back({cavity_node, earth_node, state.volts, corner.ohms, one_way_leak});
  } else {
    circuit.sources.push_back({cavity_node, earth_node, state.volts, corner.ohms, state.limit});
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

// The same circuit as one equation: what leaves the cavity through all elements together is zero. Each law is
// piecewise linear and rises with the voltage, so the balance lies on the piece at whose ends the sum changes its
// sign. Tests hold it against the solver of circuit/ and against ngspice.
class CavityLaws {
 public:
  void add_state(const StateCorner& corner) {
    const PinState& state = corner.of->state;
    if (state.one_way == OneWay::into) {
      add_diode(1.0, state.volts.si, corner.ohms.si, one_way_leak.si);
      return;
    }
    const double knee = state.limit.si * corner.ohms.si;
    add({state.volts.si, corner.ohms.si, state.limit.si, 0.0, 0.0, false});
    if (std::isfinite(knee)) {
      add_break(state.volts.si - knee);
      add_break(state.volts.si + knee);
    }
  }

  void add_clamps(const PinRatings& ratings, double lowest, double highest, double ohms) {
    if (ratings.clamp_low && lowest < ratings.clamp_low->si)
      add_diode(-1.0, -ratings.clamp_low->si, ohms, unlimited);
    if (ratings.clamp_high && highest > ratings.clamp_high->si)
      add_diode(1.0, ratings.clamp_high->si, ohms, unlimited);
  }

  // Amperes that leave the cavity through one element.
  double of(std::size_t element, double volts) const {
    const Law& law = laws_[element];
    if (law.diode) {
      const double across = law.direction * volts;
      const double off = std::min(across, law.volts) / law.off;
      return law.direction * (across <= law.volts ? off : off + (across - law.volts) / law.ohms);
    }
    const double amperes = (volts - law.volts) / law.ohms;
    if (std::abs(amperes) <= law.limit) return amperes;
    const double knee = std::copysign(law.limit, amperes);
    return knee + (volts - law.volts - knee * law.ohms) * limit_slope;
  }

  double balance() {
    std::sort(breaks_.begin(), breaks_.begin() + break_count_);
    // Beyond the outermost breaks the laws are straight: a point there gives the slope.
    double low = break_count_ > 0 ? breaks_.front() - 1.0 : 0.0;
    double high = break_count_ > 0 ? breaks_[break_count_ - 1] + 1.0 : 1.0;
    double below = sum(low);
    double above = sum(high);
    for (std::size_t i = 0; i < break_count_; ++i) {
      const double here = sum(breaks_[i]);
      if (here >= 0.0) {
        high = breaks_[i];
        above = here;
        break;
      }
      low = breaks_[i];
      below = here;
    }
    return low - below * (high - low) / (above - below);
  }

 private:
  struct Law {
    double volts = 0.0;
    double ohms = 0.0;
    double limit = 0.0;      // of a source
    double direction = 0.0;  // of a diode: 1 out of the cavity, -1 into it
    double off = 0.0;
    bool diode = false;
  };

  void add(const Law& law) { laws_[count_++] = law; }
  void add_break(double volts) { breaks_[break_count_++] = volts; }
  void add_diode(double direction, double forward, double ohms, double off) {
    add({forward, ohms, 0.0, direction, off, true});
    add_break(direction * forward);
  }
  double sum(double volts) const {
    double total = 0.0;
    for (std::size_t i = 0; i < count_; ++i) total += of(i, volts);
    return total;
  }

  std::array<Law, 4> laws_;
  std::array<double, 6> breaks_{};
  std::size_t count_ = 0;
  std::size_t break_count_ = 0;
};

struct FuseRules {
  double opens_at = 0.0;  // times its rating, at the latest
};
const FuseRules& fuse_rules() {
  static const FuseRules rules{contention_rule("fuse_opens_at", SystemVolts::nominal_12)};
  return rules;
}

// One solved corner of a pair of states.
struct Solved {
  const CornerModel& loom_model;
  const CornerModel& pin_model;
  const StateCorner& loom;
  const StateCorner& pin;
  Finding point;  // without grade

  const PinState& loom_state() const { return loom.of->state; }
  const PinState& pin_state() const { return pin.of->state; }
  // Parts of a second: too short for wires and fuses.
  bool inrush() const { return (loom.of->inrush && loom.lowest) || (pin.of->inrush && pin.lowest); }
};

bool is_worse(const Finding& a, const Finding& b) {
  if (a.grade != b.grade) return a.grade > b.grade;
  if (a.grade == Grade::harmless) return std::abs(a.current.si) > std::abs(b.current.si);
  return a.excess > b.excess;
}

void keep_worse(std::optional<Finding>& kept, const Finding& finding) {
  if (!kept || is_worse(finding, *kept)) kept = finding;
}

// The worst limit that a pair of states exceeds, in all corners so far.
class FindingsSoFar {
 public:
  void begin(const Finding& point) {
    point_ = point;
    if (!found_.worst.loom || is_worse(point, found_.worst)) found_.worst = point;
  }

  void add(Grade grade, Cause cause, double figure, double limit, double rest = 0.0) {
    // A current equal to its limit, as of a source at its own limit, exceeds nothing.
    const double excess = limit > 0.0 ? figure / limit : unlimited;
    if (excess <= 1.0 + 1e-6) return;
    Finding finding = point_;
    finding.grade = grade;
    finding.cause = cause;
    finding.excess = excess;
    finding.limit = limit;
    finding.rest = rest;
    if (is_worse(finding, found_.worst)) found_.worst = finding;
    if (cause == Cause::load_operated) keep_worse(found_.operated, finding);
    if (cause == Cause::reading_shifted) keep_worse(found_.misread, finding);
    if (cause == Cause::loom_disturbed) keep_worse(found_.disturbed, finding);
  }

  const Findings& found() const { return found_; }

 private:
  Findings found_;
  Finding point_;
};

bool gives_feed(PinKind kind, const PinState& state) {
  return state.from_supply &&
         (kind == PinKind::feed || kind == PinKind::feed_in || kind == PinKind::feed_out);
}

void check_fire(FindingsSoFar& found, const Solved& at) {
  const PinRatings& loom = at.loom_model.ratings;
  const PinRatings& pin = at.pin_model.ratings;
  const double size = std::abs(at.point.current.si);
  const double carries = loom.wire_current.si;
  if (size <= carries || at.inrush()) return;
  const bool short_to_earth = (gives_feed(loom.kind, at.loom_state()) && pin.kind == PinKind::earth) ||
                              (gives_feed(pin.kind, at.pin_state()) && loom.kind == PinKind::earth);
  if (short_to_earth) found.add(Grade::fire, Cause::dead_short, size, carries);
  const bool from_loom = at.loom_state().from_supply && at.point.current.si > 0.0;
  const auto& fuse = from_loom ? loom.fuse : pin.fuse;
  const bool stopped = fuse && fuse->si <= carries && size >= fuse_rules().opens_at * fuse->si;
  if (!stopped) found.add(Grade::fire, Cause::wire_overload, size, carries);
}

// A voltage that the pin itself produces does not damage it.
void check_voltage(FindingsSoFar& found, Cause cause, double volts, const PinRatings& ratings,
                   const PinState& own) {
  constexpr double moved = 1e-3;
  if (ratings.highest && volts > open_volts(own) + moved) {
    found.add(Grade::damage, cause, volts, ratings.highest->si);
  }
  if (ratings.lowest && volts < open_volts(own) - moved) {
    found.add(Grade::damage, cause, -volts, -ratings.lowest->si);
  }
}

bool switches(PinKind kind) {
  return kind == PinKind::output || kind == PinKind::feed_out;
}

void check_damage(FindingsSoFar& found, const Solved& at) {
  const PinRatings& loom = at.loom_model.ratings;
  const PinRatings& pin = at.pin_model.ratings;
  const double size = std::abs(at.point.current.si);
  const double volts = at.point.voltage.si;
  // Contacts and wires outlast an inrush, a switching transistor may not.
  const bool passes = at.inrush() && !switches(pin.kind);
  if (pin.allowed && !passes) found.add(Grade::damage, Cause::pin_current, size, pin.allowed->si);
  // Such a load stands its own current.
  if (loom.allowed && !at.loom.of->inrush)
    found.add(Grade::damage, Cause::loom_current, size, loom.allowed->si);
  // A conducting clamp holds the voltage: then its current decides.
  if (!(pin.clamp_low && volts < pin.clamp_low->si)) {
    check_voltage(found, Cause::pin_voltage, volts, pin, at.pin_state());
  }
  check_voltage(found, Cause::loom_voltage, volts, loom, at.loom_state());
  if (pin.clamp_energy && pin.kind == PinKind::output && !at.inrush()) {
    found.add(Grade::damage, Cause::clamp_energy, at.point.energy.si, pin.clamp_energy->si);
  }
}

enum class Level { low, between, high };

Level level_of(const PinRatings& ratings, double volts) {
  if (volts <= ratings.logic_low->si) return Level::low;
  return volts >= ratings.logic_high->si ? Level::high : Level::between;
}

void check_reading(FindingsSoFar& found, double volts, const PinRatings& ratings, const PinState& state,
                   bool key_off) {
  const double rest = open_volts(state);
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

void check_signals(FindingsSoFar& found, const Solved& at) {
  const PinRatings& loom = at.loom_model.ratings;
  const bool key_off = at.loom_state().key == KeyState::off || at.pin_state().key == KeyState::off;
  const double volts = at.point.voltage.si;
  check_reading(found, volts, at.pin_model.ratings, at.pin_state(), key_off);
  if (loom.works_at) {
    found.add(Grade::false_signal, Cause::load_operated, std::abs(at.point.current.si), loom.works_at->si);
  }
  const bool watched = loom.kind == PinKind::feed || !key_off;
  if (loom.disturbed_by && watched) {
    const double rest = open_volts(at.loom_state());
    found.add(Grade::false_signal, Cause::loom_disturbed, std::abs(volts - rest), loom.disturbed_by->si,
              rest);
  }
}

void judge(FindingsSoFar& found, Solved at, SystemVolts system, bool signals) {
  const PairPoint point = solve_pair(at.loom, at.pin_model.ratings, at.pin, system);
  at.point.current = point.current;
  at.point.voltage = point.voltage;
  at.point.energy = {0.5 * at.loom_state().inductance.si * point.current.si * point.current.si};
  at.point.loom = &at.loom_state();
  at.point.pin = &at.pin_state();
  found.begin(at.point);
  check_fire(found, at);
  check_damage(found, at);
  // Where nothing is there is nothing to read: its megohms only stand for insulation.
  const bool nothing =
      at.loom_model.ratings.kind == PinKind::none || at.pin_model.ratings.kind == PinKind::none;
  if (signals && !nothing) check_signals(found, at);
}

}  // namespace

std::vector<StateCorner> corners_of(const CornerState& state) {
  if (state.state.lowest == state.state.highest) return {{&state, state.state.lowest, true}};
  return {{&state, state.state.lowest, true}, {&state, state.state.highest, false}};
}

Circuit contention_circuit(const StateCorner& loom, const PinRatings& ratings, const StateCorner& pin,
                           SystemVolts system) {
  Circuit circuit;
  circuit.node_count = 2;
  circuit.sources.reserve(2);
  add_state(circuit, loom);
  add_state(circuit, pin);
  const auto [lowest, highest] = std::minmax({open_volts(loom.of->state), open_volts(pin.of->state)});
  add_clamps(circuit, ratings, lowest, highest, system);
  return circuit;
}

bool key_allows(const PinState& loom, const PinState& pin) {
  return loom.key == KeyState::any || pin.key == KeyState::any || loom.key == pin.key;
}

PairPoint solve_pair(const StateCorner& loom, const PinRatings& ratings, const StateCorner& pin,
                     SystemVolts system) {
  CavityLaws laws;
  laws.add_state(loom);
  laws.add_state(pin);
  const auto [lowest, highest] = std::minmax({open_volts(loom.of->state), open_volts(pin.of->state)});
  laws.add_clamps(ratings, lowest, highest, clamp_resistance(system).si);
  const double volts = laws.balance();
  return {Amperes{-laws.of(0, volts)}, Volts{volts}};
}

Findings worst_of_models(const CornerModel& loom, const CornerModel& pin, SystemVolts system, bool signals) {
  FindingsSoFar found;
  for (const CornerState& loom_state : loom.states) {
    for (const CornerState& pin_state : pin.states) {
      if (!key_allows(loom_state.state, pin_state.state)) continue;
      for (const StateCorner& a : corners_of(loom_state)) {
        for (const StateCorner& b : corners_of(pin_state))
          judge(found, {loom, pin, a, b, {}}, system, signals);
      }
    }
  }
  return found.found();
}

}  // namespace loomgraft::contention
