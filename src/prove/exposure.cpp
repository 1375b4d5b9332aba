// Each candidate is measured under every fault by the fault dictionary: one factorisation of the healthy network
// serves all of them. A fault that overloads a fuse is measured with that fuse blown.
#include <algorithm>
#include <cmath>
#include <span>

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

// What the readings of a test need to know of each fault, side by side in memory.
struct FaultTraits {
  ChangeRange changes;
  bool matters = true;
  bool in_series = false;
  bool hidden_at_rest = false;
};

std::vector<FaultTraits> traits_of(const std::vector<Fault>& faults, const ConditionBench& bench) {
  std::vector<FaultTraits> traits;
  traits.reserve(faults.size());
  for (std::size_t k = 0; k < faults.size(); ++k)
    traits.push_back({bench.of_fault[k], faults[k].matters, faults[k].kind == FaultKind::bad_joint,
                      is_intermittent(faults[k])});
  return traits;
}

// Puts the hull over the changes of one fault into the row; returns whether it is exposed.
bool add_band(FaultBands& bands, const MeterSheet& meter, const Candidate& candidate,
              std::span<const double> readings, bool in_series, ReadingRow& row) {
  FaultBands::Step& first = bands.at(readings.front(), in_series);
  const bool alike = std::ranges::all_of(
      readings.subspan(1), [&](double reading) { return first.from <= reading && reading <= first.to; });
  if (alike) {
    if (!first.place) first.place = row.place_of(first.band);
    row.push_place(*first.place);
    return first.exposed;
  }
  Band hull = first.band;
  for (const double reading : readings.subspan(1)) {
    const Band one = bands.at(reading, in_series).band;
    hull = {std::min(hull.low, one.low), std::max(hull.high, one.high)};
  }
  row.push_back(hull);
  return is_exposed(meter, candidate.quantity, candidate.test.band, hull);
}

// Keeps of each fault the test that comes closest to exposing it.
class MissNotes {
 public:
  MissNotes(std::vector<NearMiss>& misses, const ReadingSpan& span, const Band& band, double over_range)
      : misses_(misses),
        over_range_(over_range),
        nominal_(std::min(span.nominal, over_range)),
        // Below this a shift is rounding.
        least_(1e-7 * std::max(1.0, std::abs(span.nominal))),
        width_(std::max((std::isfinite(band.high) ? band.high : over_range) - band.low, 1e-9)) {}

  void note(std::size_t fault, double reading, const std::string& test) {
    const double shift = std::abs(std::min(reading, over_range_) - nominal_);
    if (!(shift > least_)) return;
    NearMiss& miss = misses_[fault];
    if (shift / width_ <= miss.clearance) return;
    miss.clearance = shift / width_;
    miss.test = test;
  }

 private:
  std::vector<NearMiss>& misses_;
  double over_range_;
  double nominal_;
  double least_;
  double width_;
};

// A fault at its lowest ohms, at its highest, and with power on at the middle of its range: a relay may let go on the
// way. Ranges that meet share the change where they do.
void add_changes(ConditionBench& bench, const std::vector<Fault>& faults, bool live) {
  std::vector<Fault> at;
  constexpr std::size_t most_for_one = 3;
  at.reserve(most_for_one * faults.size());
  bench.of_fault.reserve(faults.size());
  // Without texts, which are most of a fault.
  const auto add = [&](const Fault& fault, double ohms) {
    Fault& one = at.emplace_back();
    one.kind = fault.kind;
    one.subjects = fault.subjects;
    one.ohms = {ohms};
  };
  for (std::size_t k = 0; k < faults.size(); ++k) {
    const Fault& fault = faults[k];
    const bool goes_on = k > 0 && fault.up_to.si > 0.0 && faults[k - 1].up_to == fault.ohms &&
                         faults[k - 1].kind == fault.kind && faults[k - 1].subjects == fault.subjects;
    if (!goes_on) add(fault, fault.ohms.si);
    ChangeRange range{at.size() - 1, at.size() - 1};
    if (fault.up_to.si > 0.0) {
      if (live && fault.matters) add(fault, std::sqrt(fault.ohms.si * fault.up_to.si));
      add(fault, fault.up_to.si);
      range.last = at.size() - 1;
    }
    bench.of_fault.push_back(range);
  }
  bench.changes = changes_of(at, bench.nominal);
}

bool is_moved(TestKind kind) {
  return kind == TestKind::wiggle;
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
  add_changes(bench, faults, condition.live);
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
  const std::vector<FaultTraits> traits = traits_of(faults, bench);
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
    made.under.reserve(faults.size());
    FaultBands bands(meter, quantity, made.span, test.band);
    MissNotes notes(misses, made.span, test.band,
                    quantity == MeterQuantity::ohms ? over_range : std::numeric_limits<double>::infinity());
    const bool at_rest = !is_moved(test.kind);
    for (std::size_t fault = 0; fault < faults.size(); ++fault) {
      const FaultTraits& one = traits[fault];
      const std::span<const double> own =
          one.hidden_at_rest && at_rest
              ? std::span(&healthy, 1)
              : readings.subspan(one.changes.first, one.changes.last - one.changes.first + 1);
      const bool exposed = add_band(bands, meter, made.candidate, own, one.in_series, made.under);
      if (!one.matters) continue;
      if (exposed) {
        test.exposes.push_back(fault);
      } else if (std::isfinite(own.front())) {
        notes.note(fault, own.front(), test.text);
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
