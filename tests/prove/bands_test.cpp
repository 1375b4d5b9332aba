// Bands against sound looms sampled at random, against every corner, and against the meter's own digits.
#include "prove/bands.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "prove/exposure_internal.h"
#include "tests/network/small_loom.h"
#include "tests/rounds.h"

namespace loomgraft::prove_bands_test {
namespace {

using namespace loomgraft::prove;

double share(std::mt19937_64& random) {
  return static_cast<double>(random() >> 11) * 0x1p-53;
}

// Every element somewhere between its ends; `where` gives 0 to 1.
template <class Where>
LoomNetwork between(const ConditionBench& bench, const Where& where) {
  LoomNetwork network = bench.nominal;
  const auto mix = [&](double low, double high) {
    const double at = where();
    if (low <= 0.0 || high <= 0.0 || !std::isfinite(low) || !std::isfinite(high))
      return at < 0.5 ? low : high;
    return low * std::pow(high / low, at);
  };
  for (std::size_t k = 0; k < network.circuit.resistors.size(); ++k)
    network.circuit.resistors[k].resistance = {mix(bench.strongest.circuit.resistors[k].resistance.si,
                                                   bench.weakest.circuit.resistors[k].resistance.si)};
  for (std::size_t k = 0; k < network.circuit.sources.size(); ++k) {
    const LimitedSource& strong = bench.strongest.circuit.sources[k];
    const LimitedSource& weak = bench.weakest.circuit.sources[k];
    LimitedSource& source = network.circuit.sources[k];
    source.voltage = {mix(weak.voltage.si, strong.voltage.si)};
    source.resistance = {mix(strong.resistance.si, weak.resistance.si)};
  }
  for (std::size_t k = 0; k < network.circuit.diodes.size(); ++k)
    network.circuit.diodes[k].forward = {
        mix(bench.strongest.circuit.diodes[k].forward.si, bench.weakest.circuit.diodes[k].forward.si)};
  return network;
}

struct Bench {
  ConditionBench condition;
  std::vector<Candidate> candidates;
  std::vector<DictionaryTest> probes;
  std::vector<ReadingSpan> spans;
};

std::vector<Bench> benches_of(const Graft& graft) {
  const std::vector<Fault> faults = faults_of(graft);
  const ProveScope scope = prove_scope(frame_of(graft, LoomState::as_planned), faults);
  std::vector<Bench> benches;
  const std::vector<PlannedCondition> conditions = planned_conditions(scope);
  for (std::size_t number = 0; number < conditions.size(); ++number) {
    auto condition = condition_bench(scope, conditions[number].condition, {});
    if (!condition) continue;
    Bench bench{std::move(*condition), {}, {}, {}};
    bench.candidates =
        candidates_of(scope, number, conditions[number], bench.condition.nominal, bench.condition.solution);
    for (const Candidate& candidate : bench.candidates) bench.probes.push_back(candidate.probe);
    const auto spans = reading_spans(bench.condition.nominal, bench.condition.weakest,
                                     bench.condition.strongest, bench.probes);
    if (!spans || spans->empty()) continue;
    bench.spans = *spans;
    benches.push_back(std::move(bench));
  }
  return benches;
}

std::vector<double> readings_of(const Bench& bench, const LoomNetwork& network) {
  std::vector<double> readings(bench.probes.size(), std::nan(""));
  (void)fault_dictionary(
      network, bench.probes, {},
      [&](std::size_t test, double healthy, std::span<const double>) { readings[test] = healthy; });
  return readings;
}

// Bands are worst cases, so there are no false alarms.
TEST(Bands, TenThousandHealthyLoomsStayInside) {
  std::mt19937_64 random(17);
  const MeterSheet& meter = *meter_sheet("");
  int looms = 0;
  for (const Graft& graft : {samples::heater_loom(), samples::module_loom(), samples::relay_loom()}) {
    const std::vector<Bench> benches = benches_of(graft);
    ASSERT_FALSE(benches.empty());
    const int each = 10000 / 3 / static_cast<int>(benches.size()) + 1;
    for (const Bench& bench : benches) {
      for (int round = 0; round < each; ++round, ++looms) {
        const LoomNetwork network = between(bench.condition, [&] { return share(random); });
        const std::vector<double> readings = readings_of(bench, network);
        for (std::size_t k = 0; k < readings.size(); ++k) {
          const Candidate& candidate = bench.candidates[k];
          const Band band = healthy_band(meter, candidate.quantity, bench.spans[k]);
          const bool ohms = candidate.quantity == MeterQuantity::ohms;
          const double limit = over_range_of(meter);
          const bool over = ohms && readings[k] >= limit;
          const double off = error_at(meter, candidate.quantity, readings[k]) * (2.0 * share(random) - 1.0);
          const double shown = over ? 1e9 : readings[k] + off;
          EXPECT_GE(shown, band.low - (ohms ? 0.5 : 0.0)) << candidate.test.id;
          EXPECT_LE(shown, band.high) << candidate.test.id;
        }
      }
    }
  }
  EXPECT_GE(looms, 10000);
}

// Every branch at one end or the other: the span holds them all, and is no wider than it need be by 1 %.
TEST(Bands, SpansReachTheCornersWithinOnePercent) {
  std::mt19937_64 random(5);
  for (const Bench& bench : benches_of(samples::heater_loom())) {
    std::vector<double> low(bench.probes.size(), 1e300), high(bench.probes.size(), -1e300);
    for (int round = 0; round < 6000; ++round) {
      const LoomNetwork network = between(bench.condition, [&] { return random() % 2 == 0 ? 0.0 : 1.0; });
      const std::vector<double> readings = readings_of(bench, network);
      for (std::size_t k = 0; k < readings.size(); ++k) {
        low[k] = std::min(low[k], readings[k]);
        high[k] = std::max(high[k], readings[k]);
      }
    }
    for (std::size_t k = 0; k < low.size(); ++k) {
      const ReadingSpan& span = bench.spans[k];
      if (bench.candidates[k].quantity == MeterQuantity::ohms && span.low > 1e6) continue;
      const double floor = bench.candidates[k].quantity == MeterQuantity::ohms ? 1e-3 : 1e-4;
      const double room = 0.01 * std::max(std::abs(span.low), std::abs(span.high)) + floor;
      EXPECT_LE(span.low, low[k] + room) << bench.candidates[k].test.id;
      EXPECT_GE(span.high, high[k] - room) << bench.candidates[k].test.id;
    }
  }
}

TEST(Bands, LowOhmsShowTenthsAndLeads) {
  const MeterSheet& meter = *meter_sheet("handheld");
  // 0.9 % + 2 counts of 0.1 ohm, and one count between two touches of zeroed leads (data/meters.csv).
  EXPECT_NEAR(error_at(meter, MeterQuantity::ohms, 100.0), 0.9 + 0.2 + 0.1, 1e-12);
  const Band band = healthy_band(meter, MeterQuantity::ohms, {0.05, 0.03, 0.08});
  EXPECT_EQ(band.low, 0.0);
  EXPECT_NEAR(band.high, 0.4, 1e-12);
}

TEST(Bands, BeyondTheHighestRangeIsOneReading) {
  const MeterSheet& meter = *meter_sheet("handheld");
  const Band band = healthy_band(meter, MeterQuantity::ohms, {1e9, 2e8, 1e12});
  EXPECT_EQ(band.low, over_range_of(meter));
  EXPECT_TRUE(std::isinf(band.high));
  const Band other = fault_band(meter, MeterQuantity::ohms, {1e9, 2e8, 1e12}, 3e8);
  EXPECT_FALSE(is_exposed(meter, MeterQuantity::ohms, band, other));
}

TEST(Bands, ExposedOnlyWithADigitBetween) {
  const MeterSheet& meter = *meter_sheet("handheld");
  const Band healthy{0.0, 0.5};
  EXPECT_FALSE(is_exposed(meter, MeterQuantity::ohms, healthy, {0.5, 0.9}));
  EXPECT_FALSE(is_exposed(meter, MeterQuantity::ohms, healthy, {0.55, 0.9}));
  EXPECT_TRUE(is_exposed(meter, MeterQuantity::ohms, healthy, {0.6, 0.9}));
  EXPECT_TRUE(is_exposed(meter, MeterQuantity::volts, {11.0, 14.0}, {0.0, 0.1}));
}

// A fault without an operating point is not exposed.
TEST(Bands, AFaultWithoutAReadingIsNotExposed) {
  const MeterSheet& meter = *meter_sheet("");
  const ReadingSpan span{12.0, 11.0, 14.0};
  EXPECT_FALSE(is_exposed(meter, MeterQuantity::volts, healthy_band(meter, MeterQuantity::volts, span),
                          fault_band(meter, MeterQuantity::volts, span, std::nan(""))));
}

// The steps that are kept against every reading by itself, across all ranges of the meter and close to their ends.
TEST(FaultBands, AreThoseOfEachReadingByItself) {
  std::mt19937_64 random(11);
  for (const std::string& name : meter_names()) {
    const MeterSheet& meter = *meter_sheet(name);
    for (const MeterQuantity quantity : {MeterQuantity::ohms, MeterQuantity::volts, MeterQuantity::amperes}) {
      for (int test = 0; test < samples::rounds(30); ++test) {
        const double nominal = std::pow(10.0, -4.0 + 12.0 * share(random)) * (test % 7 == 0 ? 0.0 : 1.0);
        const ReadingSpan span{nominal, nominal * (1.0 - 0.4 * share(random)),
                               nominal * (1.0 + 0.4 * share(random))};
        const Band healthy = healthy_band(meter, quantity, span);
        FaultBands bands(meter, quantity, span, healthy);
        for (int k = 0; k < 400; ++k) {
          const double range = range_for(meter, quantity, std::pow(10.0, -4.0 + 12.0 * share(random))).up_to;
          const double sign = quantity != MeterQuantity::ohms && k % 5 == 0 ? -1.0 : 1.0;
          const double reading = k % 2 == 0 ? nominal * (1.0 + 1e-3 * share(random))
                                            : sign * range * (0.9 + 0.2 * share(random));
          const bool in_series = k % 3 == 0;
          const FaultBands::Step& step = bands.at(reading, in_series);
          const Band band = fault_band(meter, quantity, span, reading, in_series);
          ASSERT_EQ(step.band.low, band.low) << name << " " << reading;
          ASSERT_EQ(step.band.high, band.high) << name << " " << reading;
          ASSERT_EQ(step.exposed, is_exposed(meter, quantity, healthy, band)) << name << " " << reading;
        }
      }
    }
  }
}

}  // namespace
}  // namespace loomgraft::prove_bands_test
