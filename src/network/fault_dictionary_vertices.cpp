// Readings of healthy looms at the corners that a test itself asks for. docs/engine-faults.md, section 5.
#include <algorithm>
#include <cmath>

#include "network/fault_dictionary_banding_internal.h"
#include "network/meter_reading_internal.h"

namespace loomgraft {
namespace {

constexpr int most_turns = 6;

double reading_of(const Banding& banding, const SpanTest& seen, double volts, double ohms,
                  const NodalBranch& clamp, double held) {
  if (seen.test.kind == MeterKind::amperes) return clamp.conductance * (volts - clamp.emf) + held;
  return volts / (1.0 + banding.meter.conductance * ohms);
}

double shown(const Banding& banding, const DictionaryTest& test, double volts, const NodalBranch& clamp,
             double held) {
  if (test.kind == MeterKind::amperes) return clamp.conductance * (volts - clamp.emf) + held;
  return test.kind == MeterKind::ohms ? banding.meter.shown_ohms(volts) : volts;
}

LoomNetwork network_at(Banding& banding, const DictionaryTest& test, std::span<const int> end) {
  LoomNetwork network = banding.bare_nominal();
  network.circuit = at_ends(network.circuit, banding.ends(), banding.spreads, end);
  if (test.kind != MeterKind::amperes && test.red != test.black)
    add_meter(network, test.red, test.black, test.kind);
  return network;
}

// Moves each figure to the end that raises (or lowers) the reading from here; whether any was moved.
bool turn_ends(const Banding& banding, const DictionaryTest& test, const LoomNetwork& network,
               Settled& settled, const OperatingPoint& point, bool raise, std::vector<int>& end) {
  const std::size_t clamp = test.kind == MeterKind::amperes ? place_in_settled(network, test.clamp) : 0;
  Sweeper sweeper(settled, *sweep_kernels().back(), {});
  SweepDipoles dipoles;
  for (Dipole& dipole : dipoles.at) dipole = sweeper.nowhere();
  dipoles.at[0] =
      test.kind == MeterKind::amperes ? settled.dipole_of(clamp) : settled.dipole(test.red, test.black);
  sweeper.solve_everywhere(dipoles);
  const double volts = sweeper.work.volts(dipoles.at[0]);
  const double here = shown(banding, test, volts, settled.branches[clamp], settled.held[clamp]);
  find_pairs(settled);
  const std::vector<Spread> spreads = spreads_of(network.circuit, banding.ends(), settled, point);
  bool moved = false;
  std::size_t k = 0;
  for (const Spread& spread : spreads) {
    while (!banding.spreads[k].is_same_figure(spread)) ++k;
    const double q = sweeper.z[spread.change.a].at[0] - sweeper.z[spread.change.b].at[0];
    double best = here;
    for (const std::size_t which : {0U, 1U}) {
      const bool own = test.kind == MeterKind::amperes && spread.branch == clamp;
      const double there = shown(banding, test, volts - spread.change.flow[which] * q,
                                 own ? spread.value[which] : settled.branches[clamp],
                                 own ? spread.held[which] : settled.held[clamp]);
      if (raise ? there <= best : there >= best) continue;
      best = there;
      moved = moved || end[k] != static_cast<int>(which);
      end[k] = static_cast<int>(which);
    }
  }
  return moved;
}

}  // namespace

void widen(ReadingSpan& span, double reading) {
  if (std::isnan(reading)) return;
  span.low = std::min(span.low, reading);
  span.high = std::max(span.high, reading);
}

double nominal_reading(const Banding& banding, const SpanTest& seen) {
  return reading_of(banding, seen, seen.volts, seen.ohms, banding.settled.branches[seen.clamp],
                    banding.settled.held[seen.clamp]);
}

double reading_at(const Banding& banding, const SpanTest& seen, const Spread& spread, double q,
                  std::size_t end) {
  const double volts = seen.volts - spread.change.flow[end] * q;
  const double ohms = seen.ohms - spread.change.stiffness[end] * q * q;
  const bool own = spread.branch == seen.clamp;
  return reading_of(banding, seen, volts, ohms,
                    own ? spread.value[end] : banding.settled.branches[seen.clamp],
                    own ? spread.held[end] : banding.settled.held[seen.clamp]);
}

void span_by_frozen_vertices(const Banding& banding, const SpanTest& seen, const Lanes* z, std::size_t lane,
                             ReadingSpan& span) {
  const double nominal = nominal_reading(banding, seen);
  for (const bool raise : {false, true}) {
    std::vector<int> end(banding.spreads.size(), -1);
    for (std::size_t k = 0; k < banding.spreads.size(); ++k) {
      const Spread& spread = banding.spreads[k];
      const double q = z[spread.change.a].at[lane] - z[spread.change.b].at[lane];
      double best = nominal;
      for (const std::size_t which : {0U, 1U}) {
        const double there = reading_at(banding, seen, spread, q, which);
        if (raise ? there <= best : there >= best) continue;
        best = there;
        end[k] = static_cast<int>(which);
      }
      widen(span, best);
    }
    const Circuit circuit = at_ends(banding.circuit(), banding.ends(), banding.spreads, end);
    const Settled settled = frozen(banding.circuit(), circuit, banding.point, banding.settled.tree);
    ChangedFronts work(*settled.tree, settled.fronts);
    const bool amperes = seen.test.kind == MeterKind::amperes;
    const Dipole dipole =
        amperes ? settled.dipole_of(seen.clamp) : settled.dipole(seen.test.red, seen.test.black);
    Carried carried;
    work.carry(dipole, carried);
    widen(span, reading_of(banding, seen, work.volts(dipole), work.resistance(carried),
                           settled.branches[seen.clamp], settled.held[seen.clamp]));
  }
}

void span_by_vertices(Banding& banding, const DictionaryTest& test, ReadingSpan& span) {
  for (const bool raise : {false, true}) {
    std::vector<int> end(banding.spreads.size(), -1);
    for (int turn = 0; turn < most_turns; ++turn) {
      LoomNetwork network = network_at(banding, test, end);
      std::vector<RelayStep> steps;
      const auto solution = solve(network, banding.solver, &steps);
      if (!solution) break;
      Settled settled = settle(network, steps.back());
      const auto node = [&](NodeId id) { return solution->point.nodes[id.value].si; };
      const std::size_t clamp = test.kind == MeterKind::amperes ? place_in_settled(network, test.clamp) : 0;
      const double volts = test.kind == MeterKind::amperes
                               ? node({settled.branches[clamp].a}) - node({settled.branches[clamp].b})
                               : node(test.red) - node(test.black);
      widen(span, shown(banding, test, volts, settled.branches[clamp], settled.held[clamp]));
      if (!turn_ends(banding, test, network, settled, solution->point, raise, end)) break;
    }
  }
}

}  // namespace loomgraft
