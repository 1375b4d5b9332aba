#include <algorithm>
#include <cmath>

#include "readings/dictionary_internal.h"
#include "readings/full_solve_internal.h"

namespace loomgraft::readings {

// Read off the meter that add_meter() puts in, so that there is but one.
MeterFigures meter_figures() {
  LoomNetwork network;
  add_meter(network, earth_node, earth_node, MeterKind::volts);
  add_meter(network, earth_node, earth_node, MeterKind::ohms);
  const LimitedSource& source = network.circuit.sources[0];
  return {1.0 / network.circuit.resistors[0].resistance.si, source.voltage.si, source.resistance.si,
          source.limit.si};
}

double MeterFigures::current(MeterKind kind, double reading) const {
  if (kind == MeterKind::volts) return conductance * std::abs(reading);
  if (kind == MeterKind::ohms) return std::min(amperes, volts / (ohms + reading));
  return 0.0;
}

double MeterFigures::amperes_at(double across) const {
  const double straight = (volts - across) / ohms;
  const double reach = amperes * ohms;
  if (straight > amperes) return amperes + limit_slope * (volts - reach - across);
  if (straight < -amperes) return -amperes + limit_slope * (volts + reach - across);
  return straight;
}

double MeterFigures::shown_ohms(double across) const {
  return across / amperes_at(across);
}

double MeterFigures::volts_across(double open_volts, double between) const {
  const double straight = (open_volts + between * volts / ohms) / (1.0 + between / ohms);
  const double reach = amperes * ohms;
  const auto beyond = [&](double limit) {
    return (open_volts + between * (limit + limit_slope * (volts - limit * ohms))) /
           (1.0 + between * limit_slope);
  };
  if (volts - straight > reach) return beyond(amperes);
  if (volts - straight < -reach) return beyond(-amperes);
  return straight;
}

tl::expected<double, Problem> reading_in_full(LoomNetwork network, const DictionaryTest& test, Solver& solver,
                                              std::span<const RelayStep> near) {
  // A clamp inserts nothing. Both probes on one node read nothing.
  if (test.kind != MeterKind::amperes && test.red == test.black) return 0.0;
  if (test.kind != MeterKind::amperes) add_meter(network, test.red, test.black, test.kind);
  const auto solution = solve(network, solver, nullptr, near);
  if (!solution) return tl::unexpected(solution.error());
  if (test.kind == MeterKind::amperes) return branch_current(network, *solution, test.clamp).si;
  const auto& nodes = solution->point.nodes;
  const double volts = nodes[test.red.value].si - nodes[test.black.value].si;
  if (test.kind == MeterKind::volts) return volts;
  // The meter divides by its own current; what its leads drop is taken off by touching them together first.
  return volts / solution->point.sources.back().si;
}

}  // namespace loomgraft::readings
