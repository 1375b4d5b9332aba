#include "network/meter_reading_internal.h"

namespace loomgraft {

tl::expected<double, Problem> reading_in_full(LoomNetwork network, const DictionaryTest& test,
                                              Solver& solver) {
  // A clamp inserts nothing. Both probes on one node read nothing.
  if (test.kind != MeterKind::amperes && test.red == test.black) return 0.0;
  if (test.kind != MeterKind::amperes) add_meter(network, test.red, test.black, test.kind);
  const auto solution = solve(network, solver);
  if (!solution) return tl::unexpected(solution.error());
  if (test.kind == MeterKind::amperes) return branch_current(network, *solution, test.clamp).si;
  const auto& nodes = solution->point.nodes;
  const double volts = nodes[test.red.value].si - nodes[test.black.value].si;
  if (test.kind == MeterKind::volts) return volts;
  // The meter divides by its own current; what its leads drop is taken off by touching them together first.
  return volts / solution->point.sources.back().si;
}

}  // namespace loomgraft
