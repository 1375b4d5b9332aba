// Vertices: every figure at the end that its own effect asks for, solved; and again from there, since what a
// figure does may turn when others have moved. docs/engine-faults.md, section 5.
#include <algorithm>
#include <cmath>

#include "readings/bands_internal.h"
#include "readings/full_solve_internal.h"

namespace loomgraft::readings {
namespace {

constexpr int most_vertex_turns = 6;

struct Turn {
  bool moved = false;     // any figure
  double furthest = 0.0;  // reading that one figure alone brings about
  bool loads = false;     // the meter moves something
};

// Moves each figure to the end that raises (or lowers) the reading from here.
Turn turn_ends(const Banding& banding, const Viewpoint& view, bool raise, std::vector<int>& end) {
  const double here = reading_in(banding, view.seen, view.settled);
  Turn turn{false, here};
  const auto is_beyond = [&](double one, double other) { return raise ? one > other : one < other; };
  std::size_t k = 0;
  for (const Spread& spread : view.spreads) {
    while (!banding.spreads[k].is_same_figure(spread)) ++k;
    const double q = view.z[spread.change.a].at[view.lane] - view.z[spread.change.b].at[view.lane];
    double best = here;
    for (const std::size_t which : {0U, 1U}) {
      const double there = reading_at(banding, view.seen, view.settled, spread, q, which);
      if (!is_beyond(there, best)) continue;
      best = there;
      turn.moved = turn.moved || end[k] != static_cast<int>(which);
      end[k] = static_cast<int>(which);
    }
    if (is_beyond(best, turn.furthest)) turn.furthest = best;
  }
  return turn;
}

// A resistor's conductance moves a reading one way throughout, so which end is further needs no figures of
// it.
bool turn_resistors(const Banding& banding, const Viewpoint& view, bool raise, std::vector<int>& end) {
  const Seen& seen = view.seen;
  const bool amperes = seen.test.kind == MeterKind::amperes;
  const double load =
      amperes || seen.metered ? 0.0 : banding.meter.conductance * reading_in(banding, seen, view.settled);
  bool moved = false;
  for (std::size_t k = 0; k < banding.spreads.size(); ++k) {
    const Spread& spread = banding.spreads[k];
    if (spread.list != ElementList::resistor) break;
    const auto [a, b] = view.settled.dipole_of(spread.branch);
    const double q = view.z[a].at[view.lane] - view.z[b].at[view.lane];
    const double volts = view.settled.fronts.potential[a] - view.settled.fronts.potential[b];
    double pull = q * (load * q - volts);
    // More through the clamped branch itself is more of its own current, whatever the rest does.
    if (amperes && spread.branch == seen.clamp) pull = volts;
    if (!raise) pull = -pull;
    if (!(pull != 0.0)) continue;
    const double now = view.settled.branches[spread.branch].conductance;
    const double low = spread.value[0].conductance;
    const double high = spread.value[1].conductance;
    const int which = (pull > 0.0) == (high > low) ? 1 : 0;
    const double then = which == 1 ? high : low;
    if (pull > 0.0 ? !(then > now) : !(then < now)) continue;
    moved = moved || end[k] != which;
    end[k] = which;
  }
  return moved;
}

// What a loom reads in which nothing has swung, though at this vertex something would: every element on its
// nominal piece and the relays where they are.
void span_unswung(const Banding& banding, Seen seen, std::span<const int> end, ReadingSpan& span) {
  const Circuit circuit = at_ends(banding.nominal.circuit, banding.ends, banding.spreads, end);
  Settled settled = on_nominal_pieces(banding.nominal.circuit, circuit, banding.point);
  factor_on(settled, banding.settled.tree);
  ChangedFronts work(*settled.tree, settled.fronts);
  look(work, dipole_of(seen, settled), seen);
  widen(span, reading_in(banding, seen, settled));
}

// Whether every contact stands at its own end: those of one relay share their resistance.
bool lay_out_vertex(Banding& banding, const Seen& seen, std::span<const int> end) {
  LoomNetwork& network = banding.vertex;
  if (network.branches.empty()) network = banding.nominal;
  network.circuit = at_ends(banding.nominal.circuit, banding.ends, banding.spreads, end);
  network.relays = banding.nominal.relays;
  const auto own = [&](const RelayContact& contact) {
    return network.circuit.resistors[banding.spreads[contact.spread].index].resistance;
  };
  const auto shared = [&](const RelayContact& contact) -> Ohms& {
    NetworkRelay& relay = network.relays[contact.relay];
    return contact.closed ? relay.closed : relay.open;
  };
  for (const RelayContact& contact : banding.contacts) shared(contact) = own(contact);
  const bool exact = std::ranges::all_of(
      banding.contacts, [&](const RelayContact& contact) { return shared(contact) == own(contact); });
  network.branches.resize(banding.nominal.branches.size());
  if (seen.metered && seen.test.red != seen.test.black)
    add_meter(network, seen.test.red, seen.test.black, seen.test.kind);
  return exact;
}

// Reads one vertex and turns the figures on from there.
Turn turn_at_vertex(Banding& banding, Seen seen, bool raise, std::vector<int>& end, ReadingSpan& span) {
  const bool exact = lay_out_vertex(banding, seen, end);
  LoomNetwork& network = banding.vertex;
  std::vector<RelayStep> steps;
  const auto solution = solve(network, banding.solver, &steps, banding.steps);
  if (!solution) return {};
  Settled settled = settle(network, steps.back(), seen.metered ? nullptr : banding.settled.tree);
  Sweeper sweeper(settled, *sweep_kernels().back(), {});
  SweepDipoles dipoles;
  Lanes couple;
  for (Dipole& dipole : dipoles.at) dipole = sweeper.nowhere();
  dipoles.at[0] = dipole_of(seen, settled);
  sweeper.solve_everywhere(dipoles, couple);
  look(sweeper.work, dipoles.at[0], seen);
  const bool swings =
      !exact || steps.back().now != banding.steps.back().now ||
      !on_same_pieces(banding.nominal.circuit, banding.point, network.circuit, solution->point);
  if (swings && !seen.metered) span_unswung(banding, seen, end, span);
  const double reading = reading_in(banding, seen, settled);
  const bool amperes = seen.test.kind == MeterKind::amperes;
  if (!amperes && !seen.metered && !(banding.meter.current(MeterKind::volts, reading) * couple.at[0] <= 1.0))
    return {false, reading, true};
  widen(span, reading);
  const std::vector<Spread> others =
      spreads_of(network.circuit, banding.ends, settled, solution->point, SpreadsWanted::all_but_resistors);
  const Viewpoint view{seen, settled, others, sweeper.z.data(), 0};
  const bool moved = turn_resistors(banding, view, raise, end);
  Turn turn = turn_ends(banding, view, raise, end);
  turn.moved = turn.moved || moved;
  return turn;
}

Turn turn_on(Banding& banding, const Seen& seen, bool raise, Turn turn, std::vector<int>& end,
             ReadingSpan& span) {
  for (int k = 0; k < most_vertex_turns && turn.moved; ++k) turn = turn_at_vertex(banding, seen, raise, end, span);
  return turn;
}

}  // namespace

void span_by_vertices(Banding& banding, const Viewpoint& view, bool metered, ReadingSpan& span) {
  Seen with_meter = view.seen;
  with_meter.metered = true;
  for (const bool raise : {false, true}) {
    Turn turn{false, span.nominal, metered};
    std::vector<int> end(banding.spreads.size(), -1);
    if (!metered) {
      turn = turn_ends(banding, view, raise, end);
      widen(span, turn.furthest);
      turn = turn_on(banding, view.seen, raise, turn, end, span);
    }
    if (!turn.loads) continue;
    end.assign(end.size(), -1);
    turn_on(banding, with_meter, raise, {true, span.nominal}, end, span);
  }
}

}  // namespace loomgraft::readings
