// Contention against ngspice: every pair of states at every corner, and pairs whose part values are drawn at random.
#include "tests/network/ngspice.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "contention/pair.h"
#include "network/netlist.h"

namespace loomgraft::contention_ngspice_test {
namespace {

using namespace loomgraft::contention;

constexpr std::size_t class_count = pin_class_names.size();

struct Wanted {
  PairPoint point;
  Circuit pair;        // its cavity is node 1; the loom's element is the first
  bool diode = false;  // the loom's side is a diode, not a source
  std::string name;
};

// Pairs share nothing but earth: each has its own node in one big deck.
struct Batch {
  Circuit circuit;
  std::vector<Wanted> wanted;
};

void append(Batch& batch, const StateCorner& loom, const PinRatings& ratings, const StateCorner& pin,
            SystemVolts system) {
  const Circuit pair = contention_circuit(loom, ratings, pin, system);
  const NodeId node = batch.circuit.add_node();
  const auto moved = [&](NodeId id) { return id == earth_node ? id : node; };
  for (LimitedSource item : pair.sources) {
    item.plus = moved(item.plus);
    item.minus = moved(item.minus);
    batch.circuit.sources.push_back(item);
  }
  for (Diode item : pair.diodes) {
    item.anode = moved(item.anode);
    item.cathode = moved(item.cathode);
    batch.circuit.diodes.push_back(item);
  }
  batch.wanted.push_back({solve_pair(loom, ratings, pin, system), pair,
                          loom.of->state.one_way == OneWay::into,
                          loom.of->state.name + " on " + pin.of->state.name});
}

// The laws of the two elements, written here once more: what leaves the cavity through each.
double leaves_through(const LimitedSource& source, double volts) {
  return std::clamp((volts - source.voltage.si) / source.resistance.si, -source.limit.si, source.limit.si);
}
double leaves_through(const Diode& diode, double volts) {
  const bool out = diode.cathode == earth_node;
  const double across = out ? volts : -volts;
  const double knee = diode.forward.si;
  const double amperes = across <= knee
                             ? across / diode.off_resistance.si
                             : knee / diode.off_resistance.si + (across - knee) / diode.on_resistance.si;
  return out ? amperes : -amperes;
}

// What ngspice's voltage drives into the pin: through the loom's element, or through all the others.
double into_pin(const Wanted& wanted, double volts, bool by_loom) {
  double amperes = 0.0;
  for (std::size_t i = 0; i < wanted.pair.sources.size(); ++i) {
    const bool loom = !wanted.diode && i == 0;
    if (loom == by_loom) amperes += leaves_through(wanted.pair.sources[i], volts);
  }
  for (std::size_t i = 0; i < wanted.pair.diodes.size(); ++i) {
    const bool loom = wanted.diode && i == 0;
    if (loom == by_loom) amperes += leaves_through(wanted.pair.diodes[i], volts);
  }
  return by_loom ? -amperes : amperes;
}

struct Largest {
  double volts = 0.0;  // relative, of all pairs
  double amperes = 0.0;
  int pairs = 0;
};

struct Current {
  double amperes = 0.0;
  double uncertain = 0.0;  // by what the voltage is uncertain
};

// By the side that tells it more exactly: beside 20 milliohms a microvolt is 50 microamperes.
Current current_of(const Wanted& wanted, double volts, double volts_uncertain) {
  Current best;
  for (const bool by_loom : {true, false}) {
    const double amperes = into_pin(wanted, volts, by_loom);
    const double uncertain = std::max(std::abs(into_pin(wanted, volts + volts_uncertain, by_loom) - amperes),
                                      std::abs(into_pin(wanted, volts - volts_uncertain, by_loom) - amperes));
    if (by_loom || uncertain < best.uncertain) best = {amperes, uncertain};
  }
  return best;
}

// Volts to 1e-6 of themselves or 1 uV, amperes to 1e-6 of themselves or what that voltage leaves open.
void compare(Batch& batch, Largest& largest) {
  const auto start = solve(batch.circuit);
  ASSERT_TRUE(start);
  const auto volts = reference::ngspice_volts(netlist(batch.circuit, &*start), batch.circuit.node_count);
  ASSERT_EQ(volts.size(), batch.wanted.size() + 1) << "ngspice found no operating point";
  for (std::size_t k = 0; k < batch.wanted.size(); ++k) {
    const Wanted& wanted = batch.wanted[k];
    const double expected = volts[k + 1];
    const double allowed = 1e-6 + 1e-6 * std::abs(expected);
    EXPECT_NEAR(wanted.point.voltage.si, expected, allowed) << wanted.name;
    const Current current = current_of(wanted, expected, allowed);
    EXPECT_NEAR(wanted.point.current.si, current.amperes,
                std::max(1e-6 * std::abs(current.amperes), 1.01 * current.uncertain) + 1e-10)
        << wanted.name;
    if (std::abs(expected) > 0.1)
      largest.volts = std::max(largest.volts, std::abs(wanted.point.voltage.si / expected - 1.0));
    if (std::abs(current.amperes) > 0.1)
      largest.amperes = std::max(largest.amperes, std::abs(wanted.point.current.si / current.amperes - 1.0));
    ++largest.pairs;
  }
  batch = {};
}

void print_figures(const char* what, const Largest& largest) {
  std::printf("%s: %d corners compared; largest difference %.1e of the volts, %.1e of the amperes\n", what,
              largest.pairs, largest.volts, largest.amperes);
}

TEST(ContentionNgspice, EveryPairOfStatesAgreesAtEveryCorner) {
  if (!reference::have_ngspice()) GTEST_SKIP() << "ngspice is not installed";
  Largest largest;
  Batch batch;
  for (const SystemVolts system : {SystemVolts::nominal_12, SystemVolts::nominal_24}) {
    for (std::size_t cell = 0; cell < class_count * class_count; ++cell) {
      const CornerModel& loom =
          corner_model(static_cast<PinClass>(cell / class_count), PinSide::loom, system);
      const CornerModel& pin =
          corner_model(static_cast<PinClass>(cell % class_count), PinSide::module, system);
      for (const CornerState& loom_state : loom.states) {
        for (const CornerState& pin_state : pin.states) {
          for (const StateCorner& a : corners_of(loom_state)) {
            for (const StateCorner& b : corners_of(pin_state)) append(batch, a, pin.ratings, b, system);
          }
        }
      }
      if (batch.wanted.size() > 400) compare(batch, largest);
      if (HasFatalFailure()) return;
    }
  }
  if (!batch.wanted.empty()) compare(batch, largest);
  EXPECT_GT(largest.pairs, 20000);
  print_figures("states", largest);
}

// A state with every value drawn anew around the class's: volts, both resistances, its limit.
CornerState drawn(const CornerState& of, std::mt19937& dice) {
  const auto factor = [&](double low, double high) {
    return std::exp(std::uniform_real_distribution<>(std::log(low), std::log(high))(dice));
  };
  CornerState state = of;
  state.state.volts = Volts{of.state.volts.si * factor(0.6, 1.3)};
  state.state.lowest = Ohms{of.state.lowest.si * factor(0.2, 5.0)};
  state.state.highest = Ohms{state.state.lowest.si * factor(1.0, 50.0)};
  if (std::isfinite(of.state.limit.si)) state.state.limit = Amperes{of.state.limit.si * factor(0.2, 5.0)};
  return state;
}

TEST(ContentionNgspice, PartValuesDrawnAtRandomAgree) {
  if (!reference::have_ngspice()) GTEST_SKIP() << "ngspice is not installed";
  std::mt19937 dice(20240607);
  const auto below = [&](std::size_t count) {
    return std::uniform_int_distribution<std::size_t>(0, count - 1)(dice);
  };
  Largest largest;
  Batch batch;
  std::vector<CornerState> kept;  // corners point to them
  constexpr int pairs = 3000;
  kept.reserve(2 * pairs);
  for (int k = 0; k < pairs; ++k) {
    const SystemVolts system = k % 2 == 0 ? SystemVolts::nominal_12 : SystemVolts::nominal_24;
    const CornerModel& loom = corner_model(static_cast<PinClass>(below(class_count)), PinSide::loom, system);
    CornerModel pin = corner_model(static_cast<PinClass>(below(class_count)), PinSide::module, system);
    kept.push_back(drawn(loom.states[below(loom.states.size())], dice));
    const CornerState& a = kept.back();
    kept.push_back(drawn(pin.states[below(pin.states.size())], dice));
    const CornerState& b = kept.back();
    for (const StateCorner& loom_corner : corners_of(a)) {
      for (const StateCorner& pin_corner : corners_of(b))
        append(batch, loom_corner, pin.ratings, pin_corner, system);
    }
    if (batch.wanted.size() > 400) compare(batch, largest);
    if (HasFatalFailure()) return;
  }
  if (!batch.wanted.empty()) compare(batch, largest);
  EXPECT_GT(largest.pairs, 10000);
  print_figures("drawn values", largest);
}

}  // namespace
}  // namespace loomgraft::contention_ngspice_test
