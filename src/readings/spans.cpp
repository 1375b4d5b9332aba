// How far readings of healthy looms go. docs/engine-faults.md, section 5.
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "readings/bands_internal.h"
#include "readings/full_solve_internal.h"

namespace loomgraft {

using namespace readings;
namespace {

// Sum and product of single effects that differ by more than this share of the reading are not believed, nor
// by more than this many volts or amperes where there is next to nothing to read.
constexpr double agree_closely = 0.005;
constexpr double agree_in_large_looms = 0.03;
constexpr double large = 4e5;  // nodes times tests: from here a vertex for each reading would take too long
constexpr double agree_at_least = 1e-3;

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

OperatingPoint point_of(const Settled& settled) {
  OperatingPoint point;
  point.nodes.reserve(settled.tree->place.size());
  for (const Position place : settled.tree->place) point.nodes.push_back({settled.fronts.potential[place]});
  return point;
}

// The nominal network, solved; the ends take its relays' positions.
std::optional<Problem> settle_nominal(Banding& banding, const LoomNetwork& low, const LoomNetwork& high) {
  banding.straight = is_straight(banding.nominal) && is_straight(low) && is_straight(high);
  auto settled = banding.straight ? settle_straight(banding.nominal.circuit) : std::nullopt;
  if (settled) {
    banding.settled = std::move(*settled);
    banding.point = point_of(banding.settled);
    banding.steps = {{{}, {}, banding.point}};
    banding.low = low.circuit;
    banding.high = high.circuit;
    return std::nullopt;
  }
  banding.straight = false;
  auto solution = solve(banding.nominal, banding.solver, &banding.steps);
  if (!solution) return solution.error();
  for (const auto& [from, to] : {std::pair(&low, &banding.low), std::pair(&high, &banding.high)}) {
    LoomNetwork network = bare(*from);
    set_contacts(network, banding.steps.back().now);
    *to = std::move(network.circuit);
  }
  banding.settled = settle(banding.nominal, banding.steps.back());
  banding.point = std::move(solution->point);
  return std::nullopt;
}

tl::expected<Banding, Problem> banding_of(const LoomNetwork& nominal, const LoomNetwork& low,
                                          const LoomNetwork& high) {
  if (!same_shape(nominal, low) || !same_shape(nominal, high)) return tl::unexpected(other_shape());
  Banding banding;
  banding.nominal = bare(nominal);
  banding.meter = meter_figures();
  if (auto problem = settle_nominal(banding, low, high)) return tl::unexpected(std::move(*problem));
  return banding;
}

void find_contacts(Banding& banding) {
  std::map<std::size_t, RelayContact> by_resistor;
  const RelayPositions& pulled = banding.steps.back().now;
  for (std::size_t relay = 0; relay < banding.nominal.relays.size(); ++relay) {
    const auto note = [&](const std::vector<std::size_t>& branches, bool closed) {
      for (const std::size_t branch : branches)
        by_resistor[banding.nominal.branches[branch].index] = {0, relay, closed};
    };
    note(banding.nominal.relays[relay].make, pulled[relay]);
    note(banding.nominal.relays[relay].break_, !pulled[relay]);
  }
  for (std::size_t k = 0; k < banding.spreads.size(); ++k) {
    if (banding.spreads[k].list != ElementList::resistor) continue;
    const auto found = by_resistor.find(banding.spreads[k].index);
    if (found == by_resistor.end()) continue;
    banding.contacts.push_back(found->second);
    banding.contacts.back().spread = k;
  }
}

void find_spreads(Banding& banding) {
  banding.ends = {&banding.low, &banding.high};
  banding.dead = !drives(banding.nominal.circuit) && !drives(banding.low) && !drives(banding.high);
  if (!banding.dead) find_pairs(banding.settled);
  banding.spreads = spreads_of(banding.nominal.circuit, banding.ends, banding.settled, banding.point,
                               banding.dead ? SpreadsWanted::unweighed : SpreadsWanted::all);
  find_contacts(banding);
}

// A network of the nominal shape, on the nominal tree; nothing where it has no solution.
std::optional<Settled> settled_in_full(Banding& banding, LoomNetwork& network) {
  std::vector<RelayStep> steps;
  if (!solve(network, banding.solver, &steps, banding.steps)) return std::nullopt;
  return settle(network, steps.back(), banding.settled.tree);
}

// The same from its circuit, contacts as they are; `network` is laid out only where that will not do.
std::optional<Settled> settled_in_full(Banding& banding, const Circuit& circuit,
                                       std::optional<LoomNetwork>& network) {
  if (banding.straight) return settle_straight(circuit, banding.settled.tree);
  network = banding.nominal;
  network->circuit = circuit;
  return settled_in_full(banding, *network);
}

// ---- ohms: no reading falls when any resistance rises (Rayleigh), diodes and limits no exception, since
// each lets less through at any volts

// The nominal circuit, the stiffest, the softest.
Circuit circuit_of_turn(const Banding& banding, int turn) {
  if (turn == 0) return banding.nominal.circuit;
  const std::vector<int> end = stiff_ends(banding.nominal.circuit, banding.ends, banding.spreads, turn == 2);
  return at_ends(banding.nominal.circuit, banding.ends, banding.spreads, end);
}

double ohms_in_full(Banding& banding, const Circuit& circuit, const DictionaryTest& test) {
  LoomNetwork network = banding.nominal;
  network.circuit = circuit;
  return in_full(banding, network, test);
}

void span_ohms(Banding& banding, std::span<const DictionaryTest> tests, std::vector<ReadingSpan>& spans) {
  for (const int turn : {0, 1, 2}) {
    const Circuit circuit = circuit_of_turn(banding, turn);
    std::optional<LoomNetwork> network;
    const auto settled = settled_in_full(banding, circuit, network);
    if (!settled) continue;
    ChangedFronts work(*settled->tree, settled->fronts);
    for (std::size_t k = 0; k < tests.size() && !banding.stop.stop_requested(); ++k) {
      if (tests[k].kind != MeterKind::ohms) continue;
      const auto quick = settled_reading(work, *settled, settled->rooms, banding.meter, MeterKind::ohms,
                                         settled->dipole(tests[k].red, tests[k].black));
      const double reading = quick     ? *quick
                             : network ? in_full(banding, *network, tests[k])
                                       : ohms_in_full(banding, circuit, tests[k]);
      if (turn == 0) spans[k] = {reading, reading, reading};
      widen(spans[k], reading);
    }
  }
}

// ---- volts and amperes: each figure on its own, exactly; then all of them together

double reading_of(const Banding& banding, const Seen& seen, double volts, double ohms,
                  const NodalBranch& clamp, double held) {
  if (seen.test.kind == MeterKind::amperes) return clamp.conductance * (volts - clamp.emf) + held;
  return seen.metered ? volts : volts / (1.0 + banding.meter.conductance * ohms);
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

// Whether the single effects tell the whole; where they do, the wider of their sum and product.
bool effects_agree(const Band& band, double agree, ReadingSpan& span) {
  for (const std::size_t side : {0U, 1U}) {
    if (!std::isfinite(band.sum[side]) || !std::isfinite(band.product[side])) return false;
    const double size = std::max(std::abs(span.nominal), std::abs(band.sum[side]));
    if (std::abs(band.sum[side] - band.product[side]) > std::max(agree * size, agree_at_least)) return false;
  }
  // What they differ by is about what neither knows of.
  for (const std::size_t side : {0U, 1U}) {
    const double doubt = std::abs(band.sum[side] - band.product[side]);
    widen(span, std::min(band.sum[side], band.product[side]) - (side == 0 ? doubt : 0.0));
    widen(span, std::max(band.sum[side], band.product[side]) + (side == 1 ? doubt : 0.0));
  }
  return true;
}

// The effects on an ampere reading, whose own branch may be among what spreads.
SpanSums sums_of_clamp(const Banding& banding, const Seen& seen, const Lanes* z, std::size_t lane) {
  SpanSums sums;
  sums.times_up.at[lane] = sums.times_down.at[lane] = 1.0;
  const double nominal = reading_in(banding, seen, banding.settled);
  for (const Spread& spread : banding.spreads) {
    const double q = z[spread.change.a].at[lane] - z[spread.change.b].at[lane];
    double ratio[2];
    for (const std::size_t end : {0U, 1U})
      ratio[end] = reading_at(banding, seen, banding.settled, spread, q, end) / nominal;
    const double most = std::max({1.0, ratio[0], ratio[1]});
    const double least = std::min({1.0, ratio[0], ratio[1]});
    sums.up.at[lane] += most - 1.0;
    sums.down.at[lane] += 1.0 - least;
    sums.times_up.at[lane] *= most;
    sums.times_down.at[lane] *= least;
  }
  return sums;
}

// By how much a light element's load may change a reading, as a share of it, to be left out.
constexpr double light_share = 1e-12;

// Eight tests of one kind, as the kernel takes them.
struct SpanBlock {
  SweepTests tests;
  SpanSums sums;
  SweepDipoles dipoles;
  std::vector<Seen> seen;
};

SpanBlock set_up(Banding& banding, Sweeper& sweeper, std::span<const DictionaryTest> tests,
                 std::span<const std::size_t> block) {
  SpanBlock lanes;
  for (std::size_t lane = 0; lane < sweep_lanes; ++lane) {
    lanes.dipoles.at[lane] = sweeper.nowhere();
    lanes.tests.volts.at[lane] = lanes.sums.times_up.at[lane] = lanes.sums.times_down.at[lane] = 1.0;
    if (lane >= block.size()) continue;
    const DictionaryTest& test = tests[block[lane]];
    const bool amperes = test.kind == MeterKind::amperes;
    Seen seen{test, amperes ? place_in_settled(banding.nominal, test.clamp) : 0};
    lanes.dipoles.at[lane] = dipole_of(seen, banding.settled);
    look(sweeper.work, lanes.dipoles.at[lane], seen);
    lanes.tests.volts.at[lane] = seen.volts;
    lanes.tests.ohms.at[lane] = seen.ohms;
    lanes.seen.push_back(seen);
  }
  lanes.tests.conductance = banding.meter.conductance;
  sweeper.solve(lanes.dipoles, lanes.tests);
  return lanes;
}

// All of a far list but what is in the probes' own twigs.
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
  for (const std::uint32_t twig : left_out) {
    add(from, spans.first[twig]);
    from = spans.first[twig + 1];
  }
  add(from, spans.first.back());
}

void add_effects(const Sweeper& sweeper, const SpanTable& table, SpanBlock& lanes) {
  std::vector<SpanChange> near;
  for (const std::uint32_t twig : sweeper.touched) {
    for (const std::uint32_t k : sweeper.near.of(twig)) near.push_back(table.near[k]);
  }
  sweeper.kernel.span(sweeper.z.data(), near, lanes.tests, lanes.sums);
  add_far_effects(sweeper, table.light, lanes);
  add_far_effects(sweeper, table.heavy, lanes);
  sweeper.kernel.faint_span(sweeper.z.data(), table.faint, lanes.tests, lanes.sums);
}

// The meter itself carries something over a limit.
bool moves_something(const Banding& banding, const SpanBlock& lanes, std::size_t lane) {
  if (lanes.seen[lane].test.kind == MeterKind::amperes) return false;
  const double reading = reading_in(banding, lanes.seen[lane], banding.settled);
  return !(banding.meter.current(MeterKind::volts, reading) * lanes.tests.couple.at[lane] <= 1.0);
}

// `span` holds what the corners read.
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

void span_block(Banding& banding, Sweeper& sweeper, const SpanTable& table,
                std::span<const DictionaryTest> tests, std::span<const std::size_t> block,
                std::vector<ReadingSpan>& spans) {
  SpanBlock lanes = set_up(banding, sweeper, tests, block);
  const bool amperes = lanes.seen[0].test.kind == MeterKind::amperes;
  bool everywhere = amperes;
  if (amperes) {
    sweeper.solve_everywhere(lanes.dipoles, lanes.tests.couple);
  } else {
    add_effects(sweeper, table, lanes);
  }
  for (std::size_t lane = 0; lane < block.size(); ++lane) {
    const Seen& seen = lanes.seen[lane];
    if (amperes) lanes.sums = sums_of_clamp(banding, seen, sweeper.z.data(), lane);
    ReadingSpan& span = spans[block[lane]];
    const bool bent = moves_something(banding, lanes, lane);
    span.nominal =
        bent ? in_full(banding, banding.nominal, seen.test) : reading_in(banding, seen, banding.settled);
    widen(span, span.nominal);
    if (!bent && span_by_effects(lanes, lane, banding.agree, span)) continue;
    if (!everywhere) sweeper.solve_everywhere(lanes.dipoles, lanes.tests.couple);
    everywhere = true;
    const Viewpoint view{seen, banding.settled, banding.spreads, sweeper.z.data(), lane};
    span_by_vertices(banding, view, bent, span);
  }
}

double clamped(const Settled& settled, std::size_t at) {
  const NodalBranch& branch = settled.branches[at];
  const Dipole dipole = settled.dipole_of(at);
  const double volts = settled.fronts.potential[dipole.plus] - settled.fronts.potential[dipole.minus];
  return branch.conductance * (volts - branch.emf) + settled.held[at];
}

// The two corners as they are, with relays where those put them.
void span_corners(Banding& banding, const LoomNetwork& corner, std::span<const DictionaryTest> tests,
                  std::vector<ReadingSpan>& spans) {
  std::optional<LoomNetwork> own;
  if (!banding.straight) own = bare(corner);
  const auto settled =
      own ? settled_in_full(banding, *own) : settle_straight(corner.circuit, banding.settled.tree);
  if (!settled) return;
  ChangedFronts work(*settled->tree, settled->fronts);
  for (std::size_t k = 0; k < tests.size() && !banding.stop.stop_requested(); ++k) {
    if (tests[k].kind == MeterKind::ohms) continue;
    if (tests[k].kind == MeterKind::amperes) {
      widen(spans[k], clamped(*settled, place_in_settled(corner, tests[k].clamp)));
      continue;
    }
    const auto quick = settled_reading(work, *settled, settled->rooms, banding.meter, MeterKind::volts,
                                       settled->dipole(tests[k].red, tests[k].black));
    widen(spans[k], quick ? *quick : in_full(banding, own ? *own : corner, tests[k]));
  }
}

void span_driven(Banding& banding, std::span<const DictionaryTest> tests, std::vector<ReadingSpan>& spans) {
  std::vector<Dipole> items;
  for (const Spread& spread : banding.spreads) items.push_back({spread.change.a, spread.change.b});
  Sweeper sweeper(banding.settled, *sweep_kernels().back(), std::move(items));
  const SpanTable table = span_table(banding, sweeper.crown);
  for (const MeterKind kind : {MeterKind::volts, MeterKind::amperes}) {
    std::vector<std::size_t> which;
    for (std::size_t k = 0; k < tests.size(); ++k) {
      if (tests[k].kind == kind) which.push_back(k);
    }
    const std::span<const std::size_t> all = which;
    for (std::size_t k = 0; k < all.size() && !banding.stop.stop_requested(); k += sweep_lanes)
      span_block(banding, sweeper, table, tests, all.subspan(k, std::min(sweep_lanes, all.size() - k)),
                 spans);
  }
}

}  // namespace

Dipole readings::dipole_of(const Seen& seen, const Settled& settled) {
  if (seen.test.kind == MeterKind::amperes) return settled.dipole_of(seen.clamp);
  return settled.dipole(seen.test.red, seen.test.black);
}

void readings::look(ChangedFronts& work, Dipole dipole, Seen& seen) {
  Carried carried;
  work.carry(dipole, carried);
  seen.volts = work.volts(dipole);
  seen.ohms = work.resistance(carried);
}

void readings::widen(ReadingSpan& span, double reading) {
  if (std::isnan(reading)) return;
  span.low = std::min(span.low, reading);
  span.high = std::max(span.high, reading);
}

double readings::in_full(Banding& banding, const LoomNetwork& network, const DictionaryTest& test) {
  const auto reading = reading_in_full(network, test, banding.solver, banding.steps);
  return reading ? *reading : std::numeric_limits<double>::quiet_NaN();
}

double readings::reading_in(const Banding& banding, const Seen& seen, const Settled& settled) {
  return reading_of(banding, seen, seen.volts, seen.ohms, settled.branches[seen.clamp],
                    settled.held[seen.clamp]);
}

double readings::reading_at(const Banding& banding, const Seen& seen, const Settled& settled, const Spread& spread,
                  double q, std::size_t end) {
  const double volts = seen.volts - spread.change.flow[end] * q;
  const double ohms = seen.ohms - spread.change.stiffness[end] * q * q;
  const bool own = spread.branch == seen.clamp;
  return reading_of(banding, seen, volts, ohms, own ? spread.value[end] : settled.branches[seen.clamp],
                    own ? spread.held[end] : settled.held[seen.clamp]);
}

tl::expected<std::vector<ReadingSpan>, Problem> reading_spans(const LoomNetwork& nominal,
                                                              const LoomNetwork& low, const LoomNetwork& high,
                                                              std::span<const DictionaryTest> tests,
                                                              const std::stop_token& stop) {
  if (auto problem = check_tests(nominal, tests)) return tl::unexpected(std::move(*problem));
  auto made = banding_of(nominal, low, high);
  if (!made) return tl::unexpected(made.error());
  Banding banding = std::move(*made);
  banding.stop = stop;
  find_spreads(banding);
  const double size = static_cast<double>(tests.size()) * nominal.circuit.node_count;
  banding.agree = size > large ? agree_in_large_looms : agree_closely;
  constexpr double unlimited = std::numeric_limits<double>::infinity();
  std::vector<ReadingSpan> spans(tests.size(), ReadingSpan{0.0, unlimited, -unlimited});
  const auto is_ohms = [](const DictionaryTest& test) { return test.kind == MeterKind::ohms; };
  if (std::any_of(tests.begin(), tests.end(), is_ohms)) span_ohms(banding, tests, spans);
  if (stop.stop_requested()) return tl::unexpected(was_stopped());
  if (banding.dead) {
    for (std::size_t k = 0; k < tests.size(); ++k) {
      if (tests[k].kind != MeterKind::ohms) spans[k] = {};
    }
    return spans;
  }
  for (const LoomNetwork* corner : {&low, &high}) span_corners(banding, *corner, tests, spans);
  if (!std::all_of(tests.begin(), tests.end(), is_ohms)) span_driven(banding, tests, spans);
  if (stop.stop_requested()) return tl::unexpected(was_stopped());
  return spans;
}

}  // namespace loomgraft
