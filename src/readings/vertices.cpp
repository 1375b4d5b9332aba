// Vertices: every figure at the end that its own effect calls for, solved; and again from there, since the
// effect of a figure may change its sign when others have moved. docs/engine-faults.md, section 5.
#include <algorithm>
#include <cmath>

#include "readings/bands_internal.h"
#include "readings/full_solve_internal.h"

namespace loomgraft::readings {
namespace {

constexpr int most_vertex_turns = 6;

struct Turn {
  bool moved = false;     // any figure
  double furthest = 0.0;  // the furthest reading that one figure alone gives
  double promise = 0.0;   // what the figures that moved add to the reading, each alone, in sum
  bool loads = false;     // the meter carries a watched pair past a limit
};

// Puts each figure at the end that raises (or lowers) the reading from here.
Turn turn_ends(const BandEngine& engine, const SolvedPort& solved, bool raise, std::vector<int>& end) {
  const double here = reading_in(engine, solved.port, solved.linearised);
  Turn turn{false, here, 0.0, false};
  const auto is_beyond = [&](double one, double other) { return raise ? one > other : one < other; };
  std::size_t k = 0;
  for (const Spread& spread : solved.spreads) {
    while (!engine.spreads[k].is_same_figure(spread)) ++k;
    const double q = solved.z[spread.change.a].at[solved.lane] - solved.z[spread.change.b].at[solved.lane];
    double best = here;
    const int before = end[k];
    for (const std::size_t which : {0U, 1U}) {
      const double there = reading_at(engine, solved.port, solved.linearised, spread, q, which);
      if (!is_beyond(there, best)) continue;
      best = there;
      turn.moved = turn.moved || end[k] != static_cast<int>(which);
      end[k] = static_cast<int>(which);
    }
    if (is_beyond(best, turn.furthest)) turn.furthest = best;
    if (end[k] != before) turn.promise += std::abs(best - here);
  }
  return turn;
}

// A resistor's conductance changes a reading monotonically, so the sign of its effect shows which end is
// further. Returns what those that moved promise, to first order.
double turn_resistors(const BandEngine& engine, const SolvedPort& solved, bool raise, std::vector<int>& end) {
  const TestPort& port = solved.port;
  const bool amperes = port.test.kind == MeterKind::amperes;
  const double load =
      amperes || port.metered ? 0.0 : engine.meter.conductance * reading_in(engine, port, solved.linearised);
  const double to_reading = amperes ? solved.linearised.branches[port.clamp].conductance : 1.0;
  double promise = 0.0;
  for (std::size_t k = 0; k < engine.spreads.size(); ++k) {
    const Spread& spread = engine.spreads[k];
    if (spread.list != ElementList::resistor) break;
    const auto [a, b] = solved.linearised.dipole_of(spread.branch);
    const double q = solved.z[a].at[solved.lane] - solved.z[b].at[solved.lane];
    const double volts = solved.linearised.fronts.potential[a] - solved.linearised.fronts.potential[b];
    double pull = q * (load * q - volts);
    // More conductance of the clamped branch itself is more of its own current, whatever the rest does.
    const bool own = amperes && spread.branch == port.clamp;
    if (own) pull = volts;
    if (!raise) pull = -pull;
    if (!(pull != 0.0)) continue;
    const double now = solved.linearised.branches[spread.branch].conductance;
    const double low = spread.value[0].conductance;
    const double high = spread.value[1].conductance;
    const int which = (pull > 0.0) == (high > low) ? 1 : 0;
    const double then = which == 1 ? high : low;
    if (pull > 0.0 ? !(then > now) : !(then < now)) continue;
    if (end[k] != which) promise += std::abs(pull * (then - now)) * (own ? 1.0 : to_reading);
    end[k] = which;
  }
  return promise;
}

// The reading of a loom in which nothing has switched, though at this vertex something would: every element
// on its nominal piece and the relays as in the nominal network.
void span_on_nominal_pieces(const BandEngine& engine, TestPort port, std::span<const int> end,
                            ReadingSpan& span) {
  const Circuit circuit = at_ends(engine.nominal.circuit, engine.ends, engine.spreads, end);
  LinearisedNetwork linearised = on_nominal_pieces(engine.nominal.circuit, circuit, engine.point);
  factor_on(linearised, engine.linearised.tree);
  ChangedFronts work(*linearised.tree, linearised.fronts);
  read_port(work, dipole_of(port, linearised), port);
  widen(span, reading_in(engine, port, linearised));
}

// Returns whether every contact is at its own end: those of one relay share their resistance.
bool lay_out_vertex(BandEngine& engine, const TestPort& port, std::span<const int> end) {
  LoomNetwork& network = engine.vertex;
  if (network.branches.empty()) network = engine.nominal;
  network.circuit = at_ends(engine.nominal.circuit, engine.ends, engine.spreads, end);
  network.relays = engine.nominal.relays;
  const auto own = [&](const RelayContact& contact) {
    return network.circuit.resistors[engine.spreads[contact.spread].index].resistance;
  };
  const auto shared = [&](const RelayContact& contact) -> Ohms& {
    NetworkRelay& relay = network.relays[contact.relay];
    return contact.closed ? relay.closed : relay.open;
  };
  for (const RelayContact& contact : engine.contacts) shared(contact) = own(contact);
  const bool exact = std::ranges::all_of(
      engine.contacts, [&](const RelayContact& contact) { return shared(contact) == own(contact); });
  network.branches.resize(engine.nominal.branches.size());
  if (port.metered && port.test.red != port.test.black)
    add_meter(network, port.test.red, port.test.black, port.test.kind);
  return exact;
}

// The vertex settled from the last one in this direction, else solved.
std::optional<Settled> solved_vertex(BandEngine& engine, LoomNetwork& network,
                                     const std::shared_ptr<const FrontTree>& tree, bool raise) {
  std::vector<RelayStep>& near = engine.near_vertex[raise ? 1 : 0];
  if (near.empty()) near = engine.steps;
  std::vector<RelayStep> met;
  if (auto quick = settled(network, near, tree, &met)) {
    near = std::move(met);
    near.insert(near.end(), engine.steps.begin(), engine.steps.end());
    return quick;
  }
  std::vector<RelayStep> steps;
  if (!solve(network, engine.solver, &steps, engine.steps)) return std::nullopt;
  return Settled{linearise(network, steps.back(), tree), steps.back()};
}

// Reads one vertex and chooses the figures' next ends from there.
Turn turn_at_vertex(BandEngine& engine, TestPort port, bool raise, std::vector<int>& end, ReadingSpan& span) {
  const bool exact = lay_out_vertex(engine, port, end);
  LoomNetwork& network = engine.vertex;
  const auto tree = port.metered ? nullptr : engine.linearised.tree;
  const auto solved_here = solved_vertex(engine, network, tree, raise);
  if (!solved_here) return {};
  const auto& [linearised, last] = *solved_here;
  Sweeper sweeper(linearised, *sweep_kernels().back(), {});
  SweepDipoles dipoles;
  Lanes couple;
  for (Dipole& dipole : dipoles.at) dipole = sweeper.nowhere();
  dipoles.at[0] = dipole_of(port, linearised);
  sweeper.solve_everywhere(dipoles, couple);
  read_port(sweeper.work, dipoles.at[0], port);
  const bool has_switched =
      !exact || last.now != engine.steps.back().now ||
      !on_same_pieces(engine.nominal.circuit, engine.point, network.circuit, last.point);
  if (has_switched && !port.metered) span_on_nominal_pieces(engine, port, end, span);
  const double reading = reading_in(engine, port, linearised);
  const bool amperes = port.test.kind == MeterKind::amperes;
  if (!amperes && !port.metered && !(engine.meter.current(MeterKind::volts, reading) * couple.at[0] <= 1.0))
    return {false, reading, 0.0, true};
  widen(span, reading);
  const std::vector<Spread> others =
      spreads_of(network.circuit, engine.ends, linearised, last.point, SpreadsWanted::all_but_resistors);
  const SolvedPort solved{port, linearised, others, sweeper.z.data(), 0};
  const double promise = turn_resistors(engine, solved, raise, end);
  Turn turn = turn_ends(engine, solved, raise, end);
  turn.promise += promise;
  turn.moved = turn.promise > engine.little * (span.high - span.low);
  if (!turn.moved && std::isfinite(turn.promise))
    widen(span, reading + (raise ? turn.promise : -turn.promise));
  return turn;
}

Turn turn_on(BandEngine& engine, const TestPort& port, bool raise, Turn turn, std::vector<int>& end,
             ReadingSpan& span) {
  for (int k = 0; k < most_vertex_turns && turn.moved; ++k)
    turn = turn_at_vertex(engine, port, raise, end, span);
  return turn;
}

}  // namespace

void span_by_vertices(BandEngine& engine, const SolvedPort& solved, bool metered, ReadingSpan& span) {
  TestPort with_meter = solved.port;
  with_meter.metered = true;
  for (const bool raise : {false, true}) {
    Turn turn{false, span.nominal, 0.0, metered};
    std::vector<int> end(engine.spreads.size(), -1);
    if (!metered) {
      turn = turn_ends(engine, solved, raise, end);
      widen(span, turn.furthest);
      turn = turn_on(engine, solved.port, raise, turn, end, span);
    }
    if (!turn.loads) continue;
    end.assign(end.size(), -1);
    turn_on(engine, with_meter, raise, {true, span.nominal, 0.0, false}, end, span);
  }
}

}  // namespace loomgraft::readings
