// Looking for planted faults: how many measurements and minutes until one repair is settled, beside testing
// in the order of the plan and halving by position; and what an answer costs.
//
// Each search begins as on the page: the plan is worked through until its first step out of band. What comes
// after that step is counted. Readings are drawn within what the planted fault lets each test show; the same
// draws serve all three ways. Prints a report; the first argument is the number of planted faults.
#include "find/find.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <random>
#include <sstream>
#include <string>

#include "find/practice.h"
#include "loom/graft_json.h"
#include "prove/prove.h"
#include "tests/find/plants.h"
#include "tests/find/walk.h"
#include "tests/network/random_loom.h"
#include "tests/prove/made_up_proof.h"

namespace loomgraft {
namespace {

struct Bench {
  std::string name;
  Proof proof;
};

// ---- made-up proofs

// A fault shows in the tests that are close to it, some of them by over range, some by a value of its own.
Proof made_up(unsigned seed, std::size_t faults, std::size_t tests, bool all_differ) {
  std::mt19937 random(seed);
  samples::MadeUpProof made;
  made.proof.report.conditions.clear();
  made.add_condition("dead", 10.0, false);
  made.add_condition("live", 3.0, true);
  for (std::size_t k = 0; k < faults; ++k) {
    made.add_fault("fault " + std::to_string(k), 0.1 + static_cast<double>(random() % 120) / 10.0);
    Fault& fault = made.proof.report.faults.back();
    fault.repair = fault.repair_text = "mend " + std::to_string(k * 2 / 3);
    fault.harm = random() % 10 == 0 ? Harm::damage : Harm::none;
  }
  const double open_end = std::numeric_limits<double>::infinity();
  for (std::size_t test = 0; test < tests; ++test) {
    std::vector<Band> under(faults, Band{0.0, 0.6});
    const std::size_t centre = random() % faults;
    for (std::size_t k = 0; k < faults; ++k) {
      const std::size_t away = k > centre ? k - centre : centre - k;
      const double own = 1.0 + static_cast<double>(random() % 1000) / 10.0;
      if (all_differ) under[k] = {own / 100.0, own / 50.0};
      if (away > faults / 12 || random() % 3 != 0) continue;
      under[k] = random() % 2 == 0 ? Band{over_range_ohms, open_end} : Band{own, 1.2 * own};
    }
    made.add_test(fmt::format("test {:04}", test), {0.0, 0.6}, under,
                  0.5 + static_cast<double>(random() % 8) / 2.0, test % 2, "ohm");
  }
  std::ranges::stable_sort(made.proof.report.plan, {},
                           [&](std::size_t k) { return made.proof.report.tests[k].condition; });
  return made.done();
}

Bench demo() {
  std::ifstream file(std::string(LOOMGRAFT_ROOT) + "/examples/power-takeoff/graft.json");
  std::stringstream text;
  text << file.rdbuf();
  const GraftReading reading = graft_from_json(text.str(), "graft.json");
  return {"the demo", prove_loom(*reading.graft)};
}

Bench generated(unsigned seed, int circuits) {
  ProveOptions options;
  options.faults.whole_loom = true;
  return {fmt::format("generated, {} circuits", circuits),
          prove_loom(samples::random_loom(seed, circuits, 12.0).graft, options)};
}

// ---- the three ways

using samples::draw_fault;
using samples::drawn_readings;
using samples::halving;
using samples::in_list_order;
using samples::is_in_band;
using samples::misread;

struct Sum {
  std::size_t searches = 0, isolated = 0, right = 0, among = 0;
  double measurements = 0.0, minutes = 0.0, left = 0.0, promised = 0.0, delivered = 0.0, informative = 0.0;
  void add(const samples::Walk& walk) {
    ++searches;
    isolated += walk.isolated ? 1 : 0;
    right += walk.right ? 1 : 0;
    among += walk.among ? 1 : 0;
    left += static_cast<double>(walk.left);
    measurements += static_cast<double>(walk.measurements);
    minutes += walk.minutes;
    promised += walk.promised;
    delivered += walk.delivered;
    informative += static_cast<double>(walk.informative);
  }
};

struct Ways {
  Sum find, astray, list, half, all;
  std::size_t unexposed = 0;
};

// One planted fault by three ways; false where no step of the plan exposes it.
bool search(const Proof& proof, std::size_t planted, std::mt19937_64& random, Ways& ways) {
  const std::vector<double> shown = drawn_readings(proof, planted, random);
  std::vector<Reading> readings;
  std::size_t step = 0;
  for (; step < proof.report.plan.size(); ++step) {
    const std::size_t test = proof.report.plan[step];
    readings.push_back(samples::as_reading(proof, test, shown[test], 1000 + step));
    if (!is_in_band(proof, test, shown[test])) break;
  }
  if (step == proof.report.plan.size()) return false;
  const std::size_t condition = proof.report.tests[proof.report.plan[step]].condition;
  const auto meter = [&](std::size_t test) { return shown[test]; };
  FindOptions options;
  options.notes = false;
  options.next_tests = 1;
  ways.find.add(samples::walk(proof, planted, readings, meter, samples::best_next, options, 60, condition));
  ways.astray.add(samples::walk(proof, planted, readings, misread(proof, shown, ways.find.searches),
                                samples::best_next, options, 60, condition));
  options.next_tests = 0;
  ways.list.add(samples::walk(proof, planted, readings, meter, in_list_order(proof, step + 1), options, 400,
                              condition));
  ways.half.add(
      samples::walk(proof, planted, readings, meter, halving(proof, condition), options, 60, condition));
  // As far as any number of measurements could come.
  for (std::size_t test = 0; test < shown.size(); ++test)
    readings.push_back(samples::as_reading(proof, test, shown[test], 5000 + test));
  const auto none = [](const FindReport&, const std::vector<bool>&) { return std::optional<std::size_t>(); };
  ways.all.add(samples::walk(proof, planted, readings, meter, none, options, 0, condition));
  return true;
}

// ---- the report

constexpr const char* head =
    "| way | minutes | measurements | isolated to one repair | and it is the right one | repairs left | "
    "right one among them | bits promised | bits delivered |\n|---|---|---|---|---|---|---|---|---|\n";

void print_row(const char* way, const Sum& sum) {
  const auto count = static_cast<double>(std::max<std::size_t>(sum.searches, 1));
  const auto share = [&](std::size_t some) { return 100.0 * static_cast<double>(some) / count; };
  fmt::print("| {} | {:.1f} | {:.2f} | {:.1f} % | {:.1f} % | {:.2f} | {:.1f} % | {:.3f} | {:.3f} |\n", way,
             sum.minutes / count, sum.measurements / count, share(sum.isolated), share(sum.right),
             sum.left / count, share(sum.among), sum.promised / std::max(sum.informative, 1.0),
             sum.delivered / std::max(sum.informative, 1.0));
}

void print_ways(const std::string& name, const Proof& proof, const Ways& ways) {
  fmt::print("\n{}: {} faults, {} tests, plan of {}; {} searches, {} faults that no planned test showed\n\n",
             name, proof.report.faults.size(), proof.report.tests.size(), proof.report.plan.size(),
             ways.find.searches, ways.unexposed);
  fmt::print(head);
  print_row("find", ways.find);
  print_row("find, one reading in fifty mistaken", ways.astray);
  print_row("in the plan's order", ways.list);
  print_row("halving by position", ways.half);
  print_row("had every test been taken", ways.all);
}

void add(Sum& to, const Sum& from) {
  to.searches += from.searches;
  to.isolated += from.isolated;
  to.right += from.right;
  to.among += from.among;
  to.left += from.left;
  to.measurements += from.measurements;
  to.minutes += from.minutes;
  to.promised += from.promised;
  to.delivered += from.delivered;
  to.informative += from.informative;
}

Ways search_many(const Bench& bench, std::size_t count) {
  std::mt19937_64 random(17);
  Ways ways;
  while (ways.find.searches < count && ways.unexposed < 4 * count) {
    if (!search(bench.proof, draw_fault(bench.proof, random), random, ways)) ++ways.unexposed;
  }
  print_ways(bench.name, bench.proof, ways);
  std::fflush(stdout);
  return ways;
}

double milliseconds(const std::function<void()>& work) {
  double best = 1e300;
  for (int round = 0; round < 7; ++round) {
    const auto start = std::chrono::steady_clock::now();
    work();
    best = std::min(
        best, std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count());
  }
  return best;
}

void print_times(const std::string& name, const Proof& proof, std::size_t readings_taken) {
  std::mt19937_64 random(3);
  const std::vector<double> shown = drawn_readings(proof, 7, random);
  std::vector<Reading> readings;
  for (std::size_t k = 0; k < readings_taken; ++k)
    readings.push_back(samples::as_reading(proof, proof.report.plan[k], shown[proof.report.plan[k]], k));
  FindOptions options;
  options.next_tests = 0;
  const double odds = milliseconds([&] { (void)find_fault(proof, readings, options); });
  options.next_tests = 5;
  const double all = milliseconds([&] { (void)find_fault(proof, readings, options); });
  fmt::print("| {} | {} x {} | {} | {:.1f} | {:.1f} |\n", name, proof.report.faults.size(),
             proof.report.tests.size(), readings_taken, odds, all);
}

void report(std::size_t count) {
  std::vector<Bench> benches;
  benches.push_back({"made up", made_up(5, 150, 200, false)});
  benches.push_back(demo());
  for (const int circuits : {4, 8, 14})
    benches.push_back(generated(static_cast<unsigned>(circuits), circuits));
  Ways all;
  for (const Bench& bench : benches) {
    const Ways ways = search_many(bench, count / benches.size());
    add(all.find, ways.find);
    add(all.astray, ways.astray);
    add(all.list, ways.list);
    add(all.half, ways.half);
    add(all.all, ways.all);
    all.unexposed += ways.unexposed;
  }
  fmt::print("\nall together\n\n{}", head);
  print_row("find", all.find);
  print_row("find, one reading in fifty mistaken", all.astray);
  print_row("in the plan's order", all.list);
  print_row("halving by position", all.half);
  print_row("had every test been taken", all.all);
  if (std::getenv("NO_TIMES")) return;
  fmt::print(
      "\n| proof | faults x tests | readings | odds, ms | odds and next test, ms |\n|---|---|---|---|---|\n");
  print_times("the demo", benches[1].proof, 0);
  print_times("the demo", benches[1].proof, 40);
  const Proof large = made_up(9, 1000, 2000, false);
  print_times("made up", large, 0);
  print_times("made up", large, 40);
  print_times("made up, no two intervals alike", made_up(9, 1000, 2000, true), 0);
}

// Searches that end without the planted repair among those left, step by step.
void trace(std::size_t count, bool mistaken) {
  const char* which = std::getenv("LOOM");
  const Bench bench = which && *which == 'm'   ? Bench{"made up", made_up(5, 150, 200, false)}
                      : which && *which == '4' ? generated(4, 4)
                                               : demo();
  const Proof& proof = bench.proof;
  std::mt19937_64 random(17);
  for (std::size_t n = 0; n < count; ++n) {
    const std::size_t planted = draw_fault(proof, random);
    const std::vector<double> shown = drawn_readings(proof, planted, random);
    const samples::Meter meter =
        mistaken ? misread(proof, shown, n) : samples::Meter([&](std::size_t test) { return shown[test]; });
    std::vector<Reading> readings;
    for (const std::size_t test : proof.report.plan) {
      readings.push_back(samples::as_reading(proof, test, shown[test], 1000 + readings.size()));
      if (!is_in_band(proof, test, shown[test])) break;
    }
    std::string text =
        fmt::format("\nPLANTED {} after {} steps\n", proof.report.faults[planted].text, readings.size());
    {
      const std::size_t test = proof.report.plan[readings.size() - 1];
      const Band& own = proof.readings.at(test, planted);
      const Band& band = proof.report.tests[test].band;
      text += fmt::format("  first out: {} sound {:.4g}..{:.4g} planted {:.4g}..{:.4g} reads {:.4g}\n",
                          proof.report.tests[test].id, band.low, band.high, own.low, own.high, shown[test]);
    }
    FindOptions options;
    options.next_tests = 1;
    bool good = false;
    for (std::size_t k = 0; k < 40; ++k) {
      const FindReport r = find_fault(proof, readings, options);
      text += fmt::format(" {:.2f} bits; well {:.3f};", r.entropy_bits, r.no_fault);
      for (std::size_t q = 0; q < std::min<std::size_t>(5, r.repairs.size()); ++q)
        text += fmt::format(" {} {:.3f}{};", r.repairs[q].repair, r.repairs[q].odds,
                            r.repairs[q].repair == proof.report.faults[planted].repair ? "*" : "");
      text += "\n";
      good = false;
      for (const RepairOdds& one : r.repairs)
        good = good ||
               (one.odds >= 0.5 * r.repairs[0].odds && one.repair == proof.report.faults[planted].repair);
      if (r.isolated || r.next.empty()) break;
      const NextTest& next = r.next.front();
      const ProveTest& test = proof.report.tests[next.test];
      const Band& own = proof.readings.at(next.test, planted);
      const double value = meter(next.test);
      text += fmt::format(
          "    -> {} {} {:.3f} bits {:.1f} min, sound {:.4g}..{:.4g} planted {:.4g}..{:.4g} reads {:.4g}{}\n",
          name_of(next.reason), test.id, next.bits, next.minutes, test.band.low, test.band.high, own.low,
          own.high, value, value == shown[next.test] ? "" : " MISREAD");
      readings.push_back(samples::as_reading(proof, next.test, value, k));
    }
    if (!good || std::getenv("EVERY")) fmt::print("{}", text);
  }
}
}  // namespace
}  // namespace loomgraft

int main(int argc, char** argv) {
  if (argc > 2) {
    loomgraft::trace(std::strtoul(argv[1], nullptr, 10), std::string(argv[2]) == "mistaken");
    return 0;
  }
  loomgraft::report(argc > 1 ? std::strtoul(argv[1], nullptr, 10) : 2000);
}
