#include <algorithm>
#include <cmath>

#include "readings/dictionary_internal.h"
#include "readings/full_solve_internal.h"

namespace loomgraft::readings {

// Taken from the meter that add_meter() inserts, so that there is only one definition.
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
  const double linear = (volts - across) / ohms;
  const double reach = amperes * ohms;
  if (linear > amperes) return amperes + limit_slope * (volts - reach - across);
  if (linear < -amperes) return -amperes + limit_slope * (volts + reach - across);
  return linear;
}

double MeterFigures::shown_ohms(double across) const {
  return across / amperes_at(across);
}

double MeterFigures::volts_across(double open_volts, double between) const {
  const double linear = (open_volts + between * volts / ohms) / (1.0 + between / ohms);
  const double reach = amperes * ohms;
  const auto beyond = [&](double limit) {
    return (open_volts + between * (limit + limit_slope * (volts - limit * ohms))) /
           (1.0 + between * limit_slope);
  };
  if (volts - linear > reach) return beyond(amperes);
  if (volts - linear < -reach) return beyond(-amperes);
  return linear;
}

tl::expected<double, Problem> reading_by_full_solve(LoomNetwork network, const DictionaryTest& test,
                                                    Solver& solver, std::span<const RelayStep> near) {
  // A clamp inserts nothing. Both probes on one node read nothing.
  if (test.kind != MeterKind::amperes && test.red == test.black) return 0.0;
  if (test.kind != MeterKind::amperes) add_meter(network, test.red, test.black, test.kind);
  const auto solution = solve(network, solver, nullptr, near);
  if (!solution) return tl::unexpected(solution.error());
  if (test.kind == MeterKind::amperes) return branch_current(network, *solution, test.clamp).si;
  const auto& nodes = solution->point.nodes;
  const double volts = nodes[test.red.value].si - nodes[test.black.value].si;
  if (test.kind == MeterKind::volts) return volts;
  // The meter divides by its own current; the drop in its leads is zeroed by touching the probes together
  // first.
  return volts / solution->point.sources.back().si;
}

}  // namespace loomgraft::readings
