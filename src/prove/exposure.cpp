// Each candidate is measured under every fault by the fault dictionary: one factorisation of the healthy network
// serves all of them. A fault that overloads a fuse is measured with that fuse blown.
#include <algorithm>
#include <cmath>

#include "base/stop.h"
#include "prove/exposure_internal.h"
#include "standards/pin_states.h"

namespace loomgraft::prove {
namespace {

// A fault that draws more than a fuse withstands blows it, and readings are taken after that.
void blow_fuses(ConditionBench& bench, const StopToken& stop) {
  std::vector<DictionaryTest> clamps;
  for (std::size_t k = 0; k < bench.nominal.branches.size(); ++k) {
    const NetworkBranch& branch = bench.nominal.branches[k];
    if (branch.kind == BranchKind::fuse && branch.rating)
      clamps.push_back({MeterKind::amperes, branch.a, branch.b, k});
  }
  const double blows_at = contention_rule("fuse_opens_at", SystemVolts::nominal_12);
  std::vector<double> most(bench.changes.size(), blows_at);
  std::vector<std::optional<std::size_t>> blown(bench.changes.size());
  (void)fault_dictionary(
      bench.nominal, clamps, bench.changes,
      [&](std::size_t test, double, std::span<const double> readings) {
        const std::size_t branch = clamps[test].clamp;
        const double rating = bench.nominal.branches[branch].rating->si;
        for (std::size_t k = 0; k < readings.size(); ++k) {
          const double share = std::abs(readings[k]) / rating;
          if (!(share > most[k])) continue;
          most[k] = share;
          blown[k] = branch;
        }
      },
      stop);
  for (std::size_t k = 0; k < blown.size(); ++k) {
    if (!blown[k]) continue;
    auto& branches = bench.changes[k].branches;
    std::erase_if(branches, [&](const BranchChange& change) { return change.branch == *blown[k]; });
    branches.push_back({*blown[k], {std::numeric_limits<double>::infinity()}});
  }
}

void note_miss(NearMiss& miss, const ReadingSpan& span, const Band& band, double reading, double over_range,
               const std::string& test) {
  const double shift = std::abs(std::min(reading, over_range) - std::min(span.nominal, over_range));
  const double high = std::isfinite(band.high) ? band.high : over_range;
  const double width = std::max(high - band.low, 1e-9);
  // Below this a shift is rounding.
  if (!(shift > 1e-7 * std::max(1.0, std::abs(span.nominal))) || shift / width <= miss.clearance) return;
  miss.clearance = shift / width;
  miss.test = test;
}

TestKind measured_kind(const Candidate& candidate, const ReadingSpan& span, double over_range) {
  const TestKind kind = candidate.test.kind;
  if (kind != TestKind::isolation) return kind;
  return span.low < over_range ? TestKind::resistance : TestKind::isolation;
}

}  // namespace

tl::expected<ConditionBench, Problem> condition_bench(const ProveScope& scope,
                                                      const ProveCondition& condition,
                                                      const std::vector<Fault>& faults,
                                                      const StopToken& stop) {
  ConditionBench bench;
  bench.nominal = condition_network(scope, condition, Corner::nominal);
  bench.weakest = condition_network(scope, condition, Corner::weakest);
  bench.strongest = condition_network(scope, condition, Corner::strongest);
  auto solution = solve(bench.nominal);
  if (!solution) return tl::unexpected(solution.error());
  bench.solution = std::move(*solution);
  bench.changes = changes_of(faults, bench.nominal);
  if (condition.live) blow_fuses(bench, stop);
  return bench;
}

tl::expected<std::vector<MeasuredTest>, Problem> measured(
    const MeterSheet& meter, const ConditionBench& bench, const std::vector<Fault>& faults,
    std::vector<Candidate> candidates, std::vector<NearMiss>& misses, const StopToken& stop) {
  std::vector<DictionaryTest> probes;
  probes.reserve(candidates.size());
  for (const Candidate& candidate : candidates) probes.push_back(candidate.probe);
  const auto spans = reading_spans(bench.nominal, bench.weakest, bench.strongest, probes, stop);
  if (!spans) return tl::unexpected(spans.error());
  const double over_range = over_range_of(meter);
  std::vector<MeasuredTest> tests;
  const auto take = [&](std::size_t number, double healthy, std::span<const double> readings) {
    MeasuredTest made{std::move(candidates[number]), (*spans)[number], {}};
    ProveTest& test = made.candidate.test;
    const MeterQuantity quantity = made.candidate.quantity;
    made.span.nominal = healthy;
    test.nominal = healthy;
    test.band = healthy_band(meter, quantity, made.span);
    test.kind = measured_kind(made.candidate, made.span, over_range);
    const bool joined = test.kind == TestKind::resistance && !made.candidate.text_if_joined.empty();
    if (joined) test.text = made.candidate.text_if_joined;
    made.under.reserve(readings.size());
    for (std::size_t fault = 0; fault < readings.size(); ++fault) {
      made.under.push_back(fault_band(meter, quantity, made.span, readings[fault],
                                      faults[fault].kind == FaultKind::bad_joint));
      if (is_exposed(meter, quantity, test.band, made.under.back())) {
        test.exposes.push_back(fault);
      } else if (std::isfinite(readings[fault])) {
        note_miss(misses[fault], made.span, test.band, readings[fault],
                  quantity == MeterQuantity::ohms ? over_range : std::numeric_limits<double>::infinity(),
                  test.text);
      }
    }
    if (test.exposes.empty()) return;
    made.under.shrink_to_fit();
    tests.push_back(std::move(made));
  };
  const auto count = fault_dictionary(bench.nominal, probes, bench.changes, take, stop);
  if (!count) return tl::unexpected(count.error());
  std::ranges::stable_sort(tests, {}, [](const MeasuredTest& one) { return one.candidate.test.id; });
  return tests;
}

}  // namespace loomgraft::prove
