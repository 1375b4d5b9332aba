// The bands of readings of healthy looms: exact effects of single figures, summed and multiplied, and
// vertices where those two disagree. docs/engine-faults.md, section 5.
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "base/stop.h"
#include "readings/bands_internal.h"
#include "readings/full_solve_internal.h"

namespace loomgraft {

using namespace readings;
namespace {

// If sum and product of the single effects differ by more than this share of the reading, and by more than
// this many volts or amperes, vertices are solved.
constexpr double agree_closely = 0.005;
constexpr double agree_in_large_looms = 0.03;
constexpr double large =
    4e5;  // nodes times tests: from here on a vertex for each reading would take too long
constexpr double agree_at_least = 1e-3;
constexpr double little_in_large_looms = 1e-3;
constexpr std::uint32_t many_nodes = 700;  // from here on a vertex more takes too long for so little

Problem other_shape() {
  return {Severity::error,
          "other-shape",
          {},
          "The networks of the two ends do not join the same nodes as the nominal one.",
          "Lay out all three from one graft and one condition."};
}

bool drives(const Circuit& circuit) {
  return std::any_of(circuit.sources.begin(), circuit.sources.end(),
                     [](const LimitedSource& source) { return source.voltage.si != 0.0; });
}

OperatingPoint point_of(const LinearisedNetwork& linearised) {
  OperatingPoint point;
  point.nodes.reserve(linearised.tree->position.size());
  for (const Position place : linearised.tree->position)
    point.nodes.push_back({linearised.fronts.potential[place]});
  return point;
}

// Solves the nominal network; both ends take its relays' positions.
std::optional<Problem> linearise_nominal(BandEngine& engine, const LoomNetwork& low,
                                         const LoomNetwork& high) {
  engine.linear = is_linear(engine.nominal) && is_linear(low) && is_linear(high);
  auto linearised = engine.linear ? linearise_plain(engine.nominal.circuit) : std::nullopt;
  if (linearised) {
    engine.linearised = std::move(*linearised);
    engine.point = point_of(engine.linearised);
    engine.steps = {{{}, {}, engine.point}};
    engine.low = low.circuit;
    engine.high = high.circuit;
    return std::nullopt;
  }
  engine.linear = false;
  auto solution = solve(engine.nominal, engine.solver, &engine.steps);
  if (!solution) return solution.error();
  for (const auto& [from, to] : {std::pair(&low, &engine.low), std::pair(&high, &engine.high)}) {
    LoomNetwork network = bare(*from);
    set_contacts(network, engine.steps.back().now);
    *to = std::move(network.circuit);
  }
  engine.linearised = linearise(engine.nominal, engine.steps.back());
  engine.point = std::move(solution->point);
  return std::nullopt;
}

tl::expected<BandEngine, Problem> band_engine_of(const LoomNetwork& nominal, const LoomNetwork& low,
                                                 const LoomNetwork& high) {
  if (!same_shape(nominal, low) || !same_shape(nominal, high)) return tl::unexpected(other_shape());
  BandEngine engine;
  engine.nominal = bare(nominal);
  engine.meter = meter_figures();
  if (auto problem = linearise_nominal(engine, low, high)) return tl::unexpected(std::move(*problem));
  return engine;
}

void find_contacts(BandEngine& engine) {
  std::map<std::size_t, RelayContact> by_resistor;
  const RelayPositions& pulled = engine.steps.back().now;
  for (std::size_t relay = 0; relay < engine.nominal.relays.size(); ++relay) {
    const auto note = [&](const std::vector<std::size_t>& branches, bool closed) {
      for (const std::size_t branch : branches)
        by_resistor[engine.nominal.branches[branch].index] = {0, relay, closed};
    };
    note(engine.nominal.relays[relay].make, pulled[relay]);
    note(engine.nominal.relays[relay].break_, !pulled[relay]);
  }
  for (std::size_t k = 0; k < engine.spreads.size(); ++k) {
    if (engine.spreads[k].list != ElementList::resistor) continue;
    const auto found = by_resistor.find(engine.spreads[k].index);
    if (found == by_resistor.end()) continue;
    engine.contacts.push_back(found->second);
    engine.contacts.back().spread = k;
  }
}

void find_spreads(BandEngine& engine) {
  engine.ends = {&engine.low, &engine.high};
  engine.dead = !drives(engine.nominal.circuit) && !drives(engine.low) && !drives(engine.high);
  if (!engine.dead) find_pairs(engine.linearised);
  engine.spreads = spreads_of(engine.nominal.circuit, engine.ends, engine.linearised, engine.point,
                              engine.dead ? SpreadsWanted::unweighed : SpreadsWanted::all);
  find_contacts(engine);
}

// A network of the nominal shape, on the nominal tree; nothing if it has no solution.
std::optional<LinearisedNetwork> linearised_by_full_solve(BandEngine& engine, LoomNetwork& network) {
  std::vector<RelayStep> steps;
  if (!solve(network, engine.solver, &steps, engine.steps)) return std::nullopt;
  return linearise(network, steps.back(), engine.linearised.tree);
}

// The same from its circuit, contacts as they are; fills `network` only if it must be solved.
std::optional<LinearisedNetwork> linearised_by_full_solve(BandEngine& engine, const Circuit& circuit,
                                                          std::optional<LoomNetwork>& network) {
  if (engine.linear) return linearise_plain(circuit, engine.linearised.tree);
  network = engine.nominal;
  network->circuit = circuit;
  return linearised_by_full_solve(engine, *network);
}

// ---- ohms: no reading falls when any resistance rises (Rayleigh), also with diodes and limits, since each
// only reduces
// the current at any volts

// The nominal circuit, the softest, the stiffest.
Circuit circuit_of_turn(const BandEngine& engine, int turn) {
  if (turn == 0) return engine.nominal.circuit;
  const std::vector<int> end = stiff_ends(engine.nominal.circuit, engine.ends, engine.spreads, turn == 2);
  return at_ends(engine.nominal.circuit, engine.ends, engine.spreads, end);
}

double ohms_by_full_solve(BandEngine& engine, const Circuit& circuit, const DictionaryTest& test) {
  LoomNetwork network = engine.nominal;
  network.circuit = circuit;
  return reading_by_full_solve(engine, network, test);
}

void span_ohms(BandEngine& engine, std::span<const DictionaryTest> tests, std::vector<ReadingSpan>& spans) {
  for (const int turn : {0, 1, 2}) {
    const Circuit circuit = circuit_of_turn(engine, turn);
    std::optional<LoomNetwork> network;
    const auto linearised = linearised_by_full_solve(engine, circuit, network);
    if (!linearised) continue;
    ChangedFronts work(*linearised->tree, linearised->fronts);
    for (std::size_t k = 0; k < tests.size() && !engine.stop.stop_requested(); ++k) {
      if (tests[k].kind != MeterKind::ohms) continue;
      const auto quick = linear_reading(work, *linearised, linearised->headroom, engine.meter,
                                        MeterKind::ohms, linearised->dipole(tests[k].red, tests[k].black));
      const double reading = quick     ? *quick
                             : network ? reading_by_full_solve(engine, *network, tests[k])
                                       : ohms_by_full_solve(engine, circuit, tests[k]);
      if (turn == 0) spans[k] = {reading, reading, reading};
      widen(spans[k], reading);
    }
  }
}

// ---- volts and amperes: each figure alone, exactly; then all of them together

double reading_of(const BandEngine& engine, const TestPort& port, double volts, double ohms,
                  const NodalBranch& clamp, double held) {
  if (port.test.kind == MeterKind::amperes) return clamp.conductance * (volts - clamp.emf) + held;
  return port.metered ? volts : volts / (1.0 + engine.meter.conductance * ohms);
}

struct Band {
  double sum[2];
  double product[2];
};

Band band_of(double nominal, double up, double down, double times_up, double times_down) {
  Band band{{nominal * (1.0 - down), nominal * (1.0 + up)}, {nominal * times_down, nominal * times_up}};
  if (nominal < 0.0) {
    std::swap(band.sum[0], band.sum[1]);
    std::swap(band.product[0], band.product[1]);
  }
  return band;
}

// Whether sum and product of the single effects agree; if so, widens the span by the wider of them.
bool effects_agree(const Band& band, double agree, ReadingSpan& span) {
  for (const std::size_t side : {0U, 1U}) {
    if (!std::isfinite(band.sum[side]) || !std::isfinite(band.product[side])) return false;
    const double size = std::max(std::abs(span.nominal), std::abs(band.sum[side]));
    if (std::abs(band.sum[side] - band.product[side]) > std::max(agree * size, agree_at_least)) return false;
  }
  // Their difference is an estimate of what both leave out.
  for (const std::size_t side : {0U, 1U}) {
    const double doubt = std::abs(band.sum[side] - band.product[side]);
    widen(span, std::min(band.sum[side], band.product[side]) - (side == 0 ? doubt : 0.0));
    widen(span, std::max(band.sum[side], band.product[side]) + (side == 1 ? doubt : 0.0));
  }
  return true;
}

// The effects on a reading in amperes, whose own branch may have a spread.
SpanSums sums_of_clamp(const BandEngine& engine, const TestPort& port, const Lanes* z, std::size_t lane) {
  SpanSums sums;
  sums.times_up.at[lane] = sums.times_down.at[lane] = 1.0;
  const double nominal = reading_in(engine, port, engine.linearised);
  for (const Spread& spread : engine.spreads) {
    const double q = z[spread.change.a].at[lane] - z[spread.change.b].at[lane];
    double ratio[2];
    for (const std::size_t end : {0U, 1U})
      ratio[end] = reading_at(engine, port, engine.linearised, spread, q, end) / nominal;
    const double most = std::max({1.0, ratio[0], ratio[1]});
    const double least = std::min({1.0, ratio[0], ratio[1]});
    sums.up.at[lane] += most - 1.0;
    sums.down.at[lane] += 1.0 - least;
    sums.times_up.at[lane] *= most;
    sums.times_down.at[lane] *= least;
  }
  return sums;
}

// A light element's effect on the meter's load is left out if it changes a reading by at most this share.
constexpr double light_share = 1e-12;

// Eight tests of one kind, in the kernel's form.
struct SpanBlock {
  SweepTests tests;
  SpanSums sums;
  SweepDipoles dipoles;
  std::vector<TestPort> port;
};

SpanBlock set_up(BandEngine& engine, Sweeper& sweeper, std::span<const DictionaryTest> tests,
                 std::span<const std::size_t> block) {
  SpanBlock lanes;
  for (std::size_t lane = 0; lane < sweep_lanes; ++lane) {
    lanes.dipoles.at[lane] = sweeper.nowhere();
    lanes.tests.volts.at[lane] = lanes.sums.times_up.at[lane] = lanes.sums.times_down.at[lane] = 1.0;
    if (lane >= block.size()) continue;
    const DictionaryTest& test = tests[block[lane]];
    const bool amperes = test.kind == MeterKind::amperes;
    TestPort port{test, amperes ? linearised_index(engine.nominal, test.clamp) : 0};
    lanes.dipoles.at[lane] = dipole_of(port, engine.linearised);
    read_port(sweeper.work, lanes.dipoles.at[lane], port);
    lanes.tests.volts.at[lane] = port.volts;
    lanes.tests.ohms.at[lane] = port.ohms;
    lanes.port.push_back(port);
  }
  lanes.tests.conductance = engine.meter.conductance;
  sweeper.solve(lanes.dipoles, lanes.tests);
  return lanes;
}

// All of a far list except those in the probes' own subtrees.
void add_far_effects(const Sweeper& sweeper, const FarSpans& spans, SpanBlock& lanes) {
  const double most = *std::max_element(lanes.tests.most.at, lanes.tests.most.at + sweep_lanes);
  const bool loaded = !(lanes.tests.conductance * spans.weight * most * most <= light_share);
  std::vector<std::uint32_t> left_out = sweeper.touched;
  std::sort(left_out.begin(), left_out.end());
  const auto add = [&](std::uint32_t from, std::uint32_t to) {
    if (from == to) return;
    sweeper.kernel.far_span(sweeper.z.data(), std::span(spans.at).subspan(from, to - from), lanes.tests,
                            loaded, lanes.sums);
  };
  std::uint32_t from = 0;
  for (const std::uint32_t subtree : left_out) {
    add(from, spans.first[subtree]);
    from = spans.first[subtree + 1];
  }
  add(from, spans.first.back());
}

void add_effects(const Sweeper& sweeper, const SpanTable& table, SpanBlock& lanes) {
  std::vector<SpanChange> near;
  for (const std::uint32_t subtree : sweeper.touched) {
    for (const std::uint32_t k : sweeper.near.of(subtree)) near.push_back(table.near[k]);
  }
  sweeper.kernel.span(sweeper.z.data(), near, lanes.tests, lanes.sums);
  add_far_effects(sweeper, table.light, lanes);
  add_far_effects(sweeper, table.heavy, lanes);
  sweeper.kernel.faint_span(sweeper.z.data(), table.faint, lanes.tests, lanes.sums);
}

// The meter itself carries a watched pair past a limit.
bool moves_something(const BandEngine& engine, const SpanBlock& lanes, std::size_t lane) {
  if (lanes.port[lane].test.kind == MeterKind::amperes) return false;
  const double reading = reading_in(engine, lanes.port[lane], engine.linearised);
  return !(engine.meter.current(MeterKind::volts, reading) * lanes.tests.couple.at[lane] <= 1.0);
}

// `span` holds the readings of both corners.
bool span_by_effects(const SpanBlock& lanes, std::size_t lane, double agree, ReadingSpan& span) {
  const Band band = band_of(span.nominal, lanes.sums.up.at[lane], lanes.sums.down.at[lane],
                            lanes.sums.times_up.at[lane], lanes.sums.times_down.at[lane]);
  ReadingSpan effects{span.nominal, span.nominal, span.nominal};
  if (!effects_agree(band, agree, effects)) return false;
  const double slack = std::max(agree * std::abs(span.nominal), agree_at_least);
  const bool hold_corners = effects.low <= span.low + slack && effects.high >= span.high - slack;
  widen(span, effects.low);
  widen(span, effects.high);
  return hold_corners;
}

void span_block(BandEngine& engine, Sweeper& sweeper, const SpanTable& table,
                std::span<const DictionaryTest> tests, std::span<const std::size_t> block,
                std::vector<ReadingSpan>& spans) {
  SpanBlock lanes = set_up(engine, sweeper, tests, block);
  const bool amperes = lanes.port[0].test.kind == MeterKind::amperes;
  bool everywhere = amperes;
  if (amperes) {
    sweeper.solve_everywhere(lanes.dipoles, lanes.tests.couple);
  } else {
    add_effects(sweeper, table, lanes);
  }
  for (std::size_t lane = 0; lane < block.size(); ++lane) {
    const TestPort& port = lanes.port[lane];
    if (amperes) lanes.sums = sums_of_clamp(engine, port, sweeper.z.data(), lane);
    ReadingSpan& span = spans[block[lane]];
    const bool moves = moves_something(engine, lanes, lane);
    span.nominal = moves ? reading_by_full_solve(engine, engine.nominal, port.test)
                         : reading_in(engine, port, engine.linearised);
    widen(span, span.nominal);
    if (!moves && span_by_effects(lanes, lane, engine.agree, span)) continue;
    if (!everywhere) sweeper.solve_everywhere(lanes.dipoles, lanes.tests.couple);
    everywhere = true;
    const SolvedPort solved{port, engine.linearised, engine.spreads, sweeper.z.data(), lane};
    span_by_vertices(engine, solved, moves, span);
  }
}

// The two corners as they are, with relays where those put them.
void span_corners(BandEngine& engine, const LoomNetwork& corner, std::span<const DictionaryTest> tests,
                  std::vector<ReadingSpan>& spans) {
  std::optional<LoomNetwork> own;
  if (!engine.linear) own = bare(corner);
  const auto linearised =
      own ? linearised_by_full_solve(engine, *own) : linearise_plain(corner.circuit, engine.linearised.tree);
  if (!linearised) return;
  ChangedFronts work(*linearised->tree, linearised->fronts);
  for (std::size_t k = 0; k < tests.size() && !engine.stop.stop_requested(); ++k) {
    if (tests[k].kind == MeterKind::ohms) continue;
    if (tests[k].kind == MeterKind::amperes) {
      widen(spans[k], amperes_in(*linearised, linearised_index(corner, tests[k].clamp)));
      continue;
    }
    const auto quick = linear_reading(work, *linearised, linearised->headroom, engine.meter, MeterKind::volts,
                                      linearised->dipole(tests[k].red, tests[k].black));
    widen(spans[k], quick ? *quick : reading_by_full_solve(engine, own ? *own : corner, tests[k]));
  }
}

void span_driven(BandEngine& engine, std::span<const DictionaryTest> tests, std::vector<ReadingSpan>& spans) {
  std::vector<Dipole> items;
  for (const Spread& spread : engine.spreads) items.push_back({spread.change.a, spread.change.b});
  Sweeper sweeper(engine.linearised, *sweep_kernels().back(), std::move(items));
  const SpanTable table = span_table(engine, sweeper.core);
  for (const MeterKind kind : {MeterKind::volts, MeterKind::amperes}) {
    std::vector<std::size_t> which;
    for (std::size_t k = 0; k < tests.size(); ++k) {
      if (tests[k].kind == kind) which.push_back(k);
    }
    const std::span<const std::size_t> all = which;
    for (std::size_t k = 0; k < all.size() && !engine.stop.stop_requested(); k += sweep_lanes)
      span_block(engine, sweeper, table, tests, all.subspan(k, std::min(sweep_lanes, all.size() - k)), spans);
  }
}

}  // namespace

Dipole readings::dipole_of(const TestPort& port, const LinearisedNetwork& linearised) {
  if (port.test.kind == MeterKind::amperes) return linearised.dipole_of(port.clamp);
  return linearised.dipole(port.test.red, port.test.black);
}

void readings::read_port(ChangedFronts& work, Dipole dipole, TestPort& port) {
  Carried carried;
  work.carry(dipole, carried);
  port.volts = work.volts(dipole);
  port.ohms = work.resistance(carried);
}

void readings::widen(ReadingSpan& span, double reading) {
  if (std::isnan(reading)) return;
  span.low = std::min(span.low, reading);
  span.high = std::max(span.high, reading);
}

double readings::reading_by_full_solve(BandEngine& engine, const LoomNetwork& network,
                                       const DictionaryTest& test) {
  const auto reading = reading_by_full_solve(network, test, engine.solver, engine.steps);
  return reading ? *reading : std::numeric_limits<double>::quiet_NaN();
}

double readings::reading_in(const BandEngine& engine, const TestPort& port,
                            const LinearisedNetwork& linearised) {
  return reading_of(engine, port, port.volts, port.ohms, linearised.branches[port.clamp],
                    linearised.held[port.clamp]);
}

double readings::reading_at(const BandEngine& engine, const TestPort& port,
                            const LinearisedNetwork& linearised, const Spread& spread, double q,
                            std::size_t end) {
  const double volts = port.volts - spread.change.flow[end] * q;
  const double ohms = port.ohms - spread.change.stiffness[end] * q * q;
  const bool own = spread.branch == port.clamp;
  return reading_of(engine, port, volts, ohms, own ? spread.value[end] : linearised.branches[port.clamp],
                    own ? spread.held[end] : linearised.held[port.clamp]);
}

tl::expected<std::vector<ReadingSpan>, Problem> reading_spans(const LoomNetwork& nominal,
                                                              const LoomNetwork& low, const LoomNetwork& high,
                                                              std::span<const DictionaryTest> tests,
                                                              const StopToken& stop) {
  if (auto problem = check_tests(nominal, tests)) return tl::unexpected(std::move(*problem));
  auto made = band_engine_of(nominal, low, high);
  if (!made) return tl::unexpected(made.error());
  BandEngine engine = std::move(*made);
  engine.stop = stop;
  find_spreads(engine);
  const double size = static_cast<double>(tests.size()) * nominal.circuit.node_count;
  engine.agree = size > large ? agree_in_large_looms : agree_closely;
  engine.little = nominal.circuit.node_count > many_nodes ? little_in_large_looms : 0.0;
  constexpr double unlimited = std::numeric_limits<double>::infinity();
  std::vector<ReadingSpan> spans(tests.size(), ReadingSpan{0.0, unlimited, -unlimited});
  const auto is_ohms = [](const DictionaryTest& test) { return test.kind == MeterKind::ohms; };
  if (std::any_of(tests.begin(), tests.end(), is_ohms)) span_ohms(engine, tests, spans);
  if (stop.stop_requested()) return tl::unexpected(was_stopped());
  if (engine.dead) {
    for (std::size_t k = 0; k < tests.size(); ++k) {
      if (tests[k].kind != MeterKind::ohms) spans[k] = {};
    }
    return spans;
  }
  for (const LoomNetwork* corner : {&low, &high}) span_corners(engine, *corner, tests, spans);
  if (!std::all_of(tests.begin(), tests.end(), is_ohms)) span_driven(engine, tests, spans);
  if (stop.stop_requested()) return tl::unexpected(was_stopped());
  return spans;
}

}  // namespace loomgraft
