// The fault dictionary of looms of growing size: every fault under every test, with bands; beside SuiteSparse
// KLU, which refactors and solves for each fault, and ngspice, which alters and solves again, in the same
// run.
//
// A wire of this loom has seven nodes and eight branches: a fuse's rail, contact, wire, contact, consumer,
// contact, wire, contact, earth splice; every node leaks 10 Gohm. Sixteen wires share a rail; their earths
// are joined nearby (`local`) or anywhere (`loopy`). 5.25 faults a wire: open wire, unseated terminal, joint
// of 1 ohm, short to earth, short to supply, and for each fourth a bridge to the next wire. Two tests a wire:
// volts at its consumer with the battery on, ohms there with it off.
#include <benchmark/benchmark.h>
#include <suitesparse/klu.h>
#include <sys/resource.h>
#include <time.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>
#include <random>

#include "network/netlist.h"
#include "readings/dictionary.h"
#include "tests/network/ngspice.h"

namespace loomgraft {
namespace {

constexpr double unlimited = std::numeric_limits<double>::infinity();

enum class Shape { local, loopy };

struct Sample {
  LoomNetwork live[3];  // nominal, low, high
  LoomNetwork dead[3];
  std::vector<DictionaryTest> volts;
  std::vector<DictionaryTest> ohms;
  std::vector<NetworkChange> changes;
  std::size_t swapped = 0;  // of the changes, wires swapped; the last
};

struct Maker {
  Sample sample;
  std::mt19937_64 random;
  double draw(double low, double high) {
    return low * std::pow(high / low, static_cast<double>(random() >> 11) * 0x1p-53);
  }
  // `spread`: from ohms / spread to ohms * spread.
  std::size_t join(NodeId a, NodeId b, double ohms, double spread) {
    LoomNetwork* sides[] = {sample.live, sample.dead};
    const double at[] = {ohms, ohms / spread, ohms * spread};
    for (LoomNetwork* side : sides) {
      for (int k = 0; k < 3; ++k) {
        side[k].branches.push_back(
            {BranchKind::wire, {}, {}, a, b, ElementList::resistor, side[k].circuit.resistors.size(), {}});
        side[k].circuit.resistors.push_back({a, b, {at[k]}});
      }
    }
    return sample.live[0].branches.size() - 1;
  }
  NodeId node() {
    NodeId made;
    for (int k = 0; k < 3; ++k) made = sample.live[k].circuit.add_node();
    for (int k = 0; k < 3; ++k) sample.dead[k].circuit.add_node();
    return made;
  }
};

void add_faults(Maker& maker, const std::size_t (&branch)[8], const NodeId (&chain)[7], NodeId plus,
                NodeId before, std::uint32_t k) {
  std::vector<NetworkChange>& changes = maker.sample.changes;
  const auto opened = [&](std::size_t at, double ohms) {
    changes.emplace_back();
    changes.back().branches.push_back({branch[at], {ohms}});
  };
  const auto bridged = [&](NodeId a, NodeId b) {
    changes.emplace_back();
    changes.back().bridges.push_back({a, b, {0.01}});
  };
  opened(1, unlimited);
  opened(k % 2 == 0 ? 0 : 4, unlimited);
  opened(k % 2 == 0 ? 2 : 6, 1.0);
  bridged(chain[k % 2 == 0 ? 1 : 2], earth_node);
  bridged(chain[4], plus);
  if (k % 4 == 3) bridged(chain[2], before);
}

Sample loom_of(std::uint32_t wires, Shape shape = Shape::local) {
  Maker maker{{}, std::mt19937_64(wires)};
  const NodeId plus = maker.node();
  const NodeId minus = maker.node();
  // As many batteries as so many consumers need: else their volts would be gone before the first fuse.
  const double batteries = std::max(1.0, wires / 100.0);
  for (int k = 0; k < 3; ++k) {
    const double volts[] = {12.6, 11.8, 13.2};
    maker.sample.live[k].circuit.sources.push_back(
        {plus, minus, {volts[k]}, {0.01 / batteries}, {unlimited}});
  }
  maker.join(minus, earth_node, 5e-4 / batteries, 3.0);
  std::vector<NodeId> rails;
  std::vector<NodeId> splices;
  for (std::uint32_t k = 0; k <= wires / 16; ++k) {
    rails.push_back(maker.node());
    splices.push_back(maker.node());
    maker.join(plus, rails.back(), maker.draw(2e-3, 0.02), 1.3);
    maker.join(splices.back(), earth_node, maker.draw(1e-3, 0.01), 3.0);
  }
  NodeId before = plus;
  for (std::uint32_t k = 0; k < wires; ++k) {
    const bool local = shape == Shape::local;
    const std::size_t group = local ? k / 16 : maker.random() % rails.size();
    const std::size_t earth = (local ? group + maker.random() % 2 : maker.random()) % splices.size();
    NodeId chain[7];
    for (NodeId& node : chain) node = maker.node();
    const double copper = maker.draw(0.01, 0.2);
    const double ohms[] = {5e-3, copper, 5e-3, maker.draw(2.0, 2000.0), 5e-3, copper, 5e-3, 2e-3};
    const double spread[] = {2.0, 1.1, 2.0, 1.1, 2.0, 1.1, 2.0, 2.0};
    std::size_t branch[8];
    for (std::size_t step = 0; step < 8; ++step) {
      const NodeId from = step == 0 ? rails[group] : chain[step - 1];
      branch[step] = maker.join(from, step == 7 ? splices[earth] : chain[step], ohms[step], spread[step]);
    }
    maker.sample.volts.push_back({MeterKind::volts, chain[2], k % 2 == 0 ? chain[3] : earth_node, 0});
    maker.sample.ohms.push_back({MeterKind::ohms, chain[2], k % 2 == 0 ? rails[group] : earth_node, 0});
    add_faults(maker, branch, chain, plus, before, k);
    before = chain[2];
  }
  const std::uint32_t count = maker.sample.live[0].circuit.node_count;
  for (std::uint32_t k = 1; k < count; ++k) maker.join({k}, earth_node, 1e10, 100.0);
  return std::move(maker.sample);
}

// Of this process alone: what one core takes, whatever else the machine does.
double seconds_of_core() {
  timespec now{};
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

double seconds_since(double start) {
  return seconds_of_core() - start;
}

double seconds_of_children() {
  rusage usage{};
  getrusage(RUSAGE_CHILDREN, &usage);
  const auto seconds = [](const timeval& t) {
    return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
  };
  return seconds(usage.ru_utime) + seconds(usage.ru_stime);
}

double peak_megabytes() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / 1024.0;
}

// Readings looked at as a plan would: how many are clear of the band.
struct Verdicts {
  std::size_t pairs = 0;
  std::size_t exposed = 0;
  std::size_t by_full_solve = 0;
};

std::size_t outside(std::span<const double> readings, double low, double high) {
  std::size_t inside = 0;
  for (const double reading : readings) inside += (reading >= low) & (reading <= high) ? 1U : 0U;
  return readings.size() - inside;
}

void judge(const LoomNetwork (&networks)[3], std::span<const DictionaryTest> tests,
           std::span<const NetworkChange> changes, bool with_bands, Verdicts& verdicts) {
  std::vector<ReadingSpan> spans(tests.size());
  if (with_bands) {
    auto made = reading_spans(networks[0], networks[1], networks[2], tests);
    if (made) spans = std::move(*made);
  }
  const auto count = fault_dictionary(networks[0], tests, changes,
                                      [&](std::size_t test, double, std::span<const double> under) {
                                        verdicts.pairs += under.size();
                                        if (!with_bands) return;
                                        const double low = spans[test].low * 0.995 - 0.02;
                                        const double high = spans[test].high * 1.005 + 0.02;
                                        verdicts.exposed += outside(under, low, high);
                                      });
  if (count) verdicts.by_full_solve += count->by_full_solve;
}

void dictionary_with_bands(benchmark::State& state, Shape shape) {
  const Sample sample = loom_of(static_cast<std::uint32_t>(state.range(0)), shape);
  Verdicts verdicts;
  double best = 1e9;
  for (auto step : state) {
    verdicts = {};
    const double start = seconds_of_core();
    judge(sample.live, sample.volts, sample.changes, true, verdicts);
    judge(sample.dead, sample.ohms, sample.changes, true, verdicts);
    best = std::min(best, seconds_since(start));
  }
  state.counters["pairs"] = static_cast<double>(verdicts.pairs);
  state.counters["exposed"] = static_cast<double>(verdicts.exposed);
  state.counters["full_solves"] = static_cast<double>(verdicts.by_full_solve);
  state.counters["best_ms"] = best * 1e3;
  state.counters["ns_a_pair"] = best * 1e9 / static_cast<double>(verdicts.pairs);
  state.counters["peak_MB"] = peak_megabytes();
}
void local_dictionary(benchmark::State& state) {
  dictionary_with_bands(state, Shape::local);
}
void loopy_dictionary(benchmark::State& state) {
  dictionary_with_bands(state, Shape::loopy);
}
BENCHMARK(local_dictionary)->Arg(100)->Arg(1000)->Arg(10000)->Unit(benchmark::kMillisecond);
BENCHMARK(loopy_dictionary)->Arg(100)->Arg(1000)->Unit(benchmark::kMillisecond);

void bands(benchmark::State& state) {
  const Sample sample = loom_of(static_cast<std::uint32_t>(state.range(0)));
  for (auto step : state) {
    const auto live = reading_spans(sample.live[0], sample.live[1], sample.live[2], sample.volts);
    const auto dead = reading_spans(sample.dead[0], sample.dead[1], sample.dead[2], sample.ohms);
    if (!live || !dead) state.SkipWithError("no bands");
    benchmark::DoNotOptimize(&live);
  }
  state.counters["tests"] = static_cast<double>(sample.volts.size() + sample.ohms.size());
}
BENCHMARK(bands)->Arg(100)->Arg(1000)->Arg(10000)->Unit(benchmark::kMillisecond);

// ---- KLU: the nodal matrix with headroom for every bridge, refactored and solved for each fault

struct Klu {
  std::vector<int> start, row;
  std::vector<double> value, volts;
  klu_common common{};
  klu_symbolic* symbolic = nullptr;
  klu_numeric* numeric = nullptr;
  ~Klu() {
    klu_free_numeric(&numeric, &common);
    klu_free_symbolic(&symbolic, &common);
  }
  double& cell(std::uint32_t a, std::uint32_t b) {
    const auto begin = row.begin() + start[b - 1];
    const auto found = std::lower_bound(begin, row.begin() + start[b], static_cast<int>(a) - 1);
    return value[static_cast<std::size_t>(found - row.begin())];
  }
  void add(NodeId a, NodeId b, double g) {
    if (a.value != 0) cell(a.value, a.value) += g;
    if (b.value != 0) cell(b.value, b.value) += g;
    if (a.value == 0 || b.value == 0) return;
    cell(a.value, b.value) -= g;
    cell(b.value, a.value) -= g;
  }
};

void lay_out(Klu& klu, const Sample& sample) {
  const Circuit& circuit = sample.live[0].circuit;
  std::vector<std::pair<int, int>> cells;  // column, row
  const auto note = [&](NodeId a, NodeId b) {
    const int x = static_cast<int>(a.value) - 1;
    const int y = static_cast<int>(b.value) - 1;
    if (x >= 0) cells.emplace_back(x, x);
    if (y >= 0) cells.emplace_back(y, y);
    if (x >= 0 && y >= 0) cells.insert(cells.end(), {{x, y}, {y, x}});
  };
  for (const Resistor& item : circuit.resistors) note(item.a, item.b);
  for (const LimitedSource& item : circuit.sources) note(item.plus, item.minus);
  for (const NetworkChange& change : sample.changes) {
    for (const Bridge& bridge : change.bridges) note(bridge.a, bridge.b);
  }
  std::sort(cells.begin(), cells.end());
  cells.erase(std::unique(cells.begin(), cells.end()), cells.end());
  klu.start.assign(circuit.node_count, 0);
  for (const auto& [column, row] : cells) {
    ++klu.start[static_cast<std::size_t>(column) + 1];
    klu.row.push_back(row);
  }
  for (std::size_t k = 1; k < klu.start.size(); ++k) klu.start[k] += klu.start[k - 1];
  klu.value.assign(klu.row.size(), 0.0);
  for (const Resistor& item : circuit.resistors) klu.add(item.a, item.b, 1.0 / item.resistance.si);
  for (const LimitedSource& item : circuit.sources) klu.add(item.plus, item.minus, 1.0 / item.resistance.si);
  klu_defaults(&klu.common);
  const int count = static_cast<int>(circuit.node_count) - 1;
  klu.symbolic = klu_analyze(count, klu.start.data(), klu.row.data(), &klu.common);
  klu.numeric = klu_factor(klu.start.data(), klu.row.data(), klu.value.data(), klu.symbolic, &klu.common);
}

void solve_under(Klu& klu, const Sample& sample, const NetworkChange& change) {
  const Circuit& circuit = sample.live[0].circuit;
  const auto apply = [&](double sign) {
    for (const BranchChange& one : change.branches) {
      const Resistor& item = circuit.resistors[sample.live[0].branches[one.branch].index];
      klu.add(item.a, item.b, sign * (1.0 / one.resistance.si - 1.0 / item.resistance.si));
    }
    for (const Bridge& one : change.bridges) klu.add(one.a, one.b, sign / one.resistance.si);
  };
  apply(1.0);
  klu_refactor(klu.start.data(), klu.row.data(), klu.value.data(), klu.symbolic, klu.numeric, &klu.common);
  const int count = static_cast<int>(circuit.node_count) - 1;
  klu.volts.assign(static_cast<std::size_t>(count), 0.0);
  for (const LimitedSource& item : circuit.sources) {
    klu.volts[item.plus.value - 1] += item.voltage.si / item.resistance.si;
    klu.volts[item.minus.value - 1] -= item.voltage.si / item.resistance.si;
  }
  klu_solve(klu.symbolic, klu.numeric, count, 1, klu.volts.data(), &klu.common);
  apply(-1.0);
}

// Volts alone, no bands; KLU on a sample of the faults, without a meter's load, at the same nodes.
void volts_beside_klu(benchmark::State& state) {
  const Sample sample = loom_of(static_cast<std::uint32_t>(state.range(0)));
  Klu klu;
  lay_out(klu, sample);
  const std::size_t stride = std::max<std::size_t>(1, sample.changes.size() / 60);
  std::vector<std::vector<double>> theirs;
  const double start = seconds_of_core();
  for (std::size_t k = 0; k < sample.changes.size(); k += stride) {
    solve_under(klu, sample, sample.changes[k]);
    theirs.push_back(klu.volts);
  }
  const double per_fault = seconds_since(start) / static_cast<double>(theirs.size());
  double best = 1e9;
  double worst = 0.0;
  for (auto step : state) {
    Verdicts verdicts;
    const double began = seconds_of_core();
    judge(sample.live, sample.volts, sample.changes, false, verdicts);
    best = std::min(best, seconds_since(began));
  }
  const auto compared = fault_dictionary(
      sample.live[0], sample.volts, sample.changes,
      [&](std::size_t test, double, std::span<const double> ours) {
        const DictionaryTest& at = sample.volts[test];
        for (std::size_t k = 0; k < theirs.size(); ++k) {
          const auto volts = [&](NodeId node) { return node.value == 0 ? 0.0 : theirs[k][node.value - 1]; };
          worst = std::max(worst, std::abs(ours[k * stride] - (volts(at.red) - volts(at.black))));
        }
      });
  if (!compared) state.SkipWithError("no dictionary");
  const double ours = best / static_cast<double>(sample.changes.size());
  state.counters["klu_us_a_fault"] = per_fault * 1e6;
  state.counters["us_a_fault"] = ours * 1e6;
  state.counters["ratio"] = per_fault / ours;
  state.counters["largest_difference_V"] = worst;  // the meter's load and KLU's digits
}
BENCHMARK(volts_beside_klu)->Arg(100)->Arg(1000)->Arg(10000)->Unit(benchmark::kMillisecond);

// ---- ngspice: one process, a joint opened and closed again between operating points

double ngspice_seconds(const Circuit& circuit, int faults) {
  std::string deck = netlist(circuit);
  std::string kept;
  for (std::size_t at = 0; at < deck.size();) {
    const std::size_t end = deck.find('\n', at) + 1;
    const std::string line = deck.substr(at, end - at);
    if (!line.starts_with("print")) kept += line;
    at = end;
  }
  std::string alters;
  for (int k = 0; k < faults; ++k) {
    const std::string name = "r" + std::to_string(40 + 8 * k);
    alters += "alter " + name + " = 1e15\nop\nalter " + name + " = 0.005\n";
  }
  kept.insert(kept.rfind("quit\n"), alters + "print v(n1)\n");
  const double start = seconds_of_children();
  const std::string printed = reference::ngspice_output(kept);
  return printed.find("v(n1) = ") == std::string::npos ? std::nan("") : seconds_of_children() - start;
}

void volts_beside_ngspice(benchmark::State& state) {
  if (!reference::have_ngspice()) return state.SkipWithError("ngspice is not installed");
  const Sample sample = loom_of(static_cast<std::uint32_t>(state.range(0)));
  constexpr int faults = 8;
  const double none = ngspice_seconds(sample.live[0].circuit, 0);
  const double per_fault = (ngspice_seconds(sample.live[0].circuit, faults) - none) / faults;
  double best = 1e9;
  for (auto step : state) {
    Verdicts verdicts;
    const double began = seconds_of_core();
    judge(sample.live, sample.volts, sample.changes, false, verdicts);
    best = std::min(best, seconds_since(began));
  }
  const double ours = best / static_cast<double>(sample.changes.size());
  state.counters["ngspice_us_a_fault"] = per_fault * 1e6;
  state.counters["us_a_fault"] = ours * 1e6;
  state.counters["ratio"] = per_fault / ours;
}
BENCHMARK(volts_beside_ngspice)->Arg(100)->Arg(1000)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace loomgraft

BENCHMARK_MAIN();
