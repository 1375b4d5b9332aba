#include "compare/settle.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <cmath>

#include "compare/settle_bands.h"
#include "network/netlist.h"
#include "tests/network/ngspice.h"

namespace loomgraft::compare_settle_test {
namespace {

using namespace loomgraft::compare;

using testing::HasSubstr;
using enum PinClass;

Claim claim(const char* source, PinClass pin_class, const char* signal = "", Colour colour = {}) {
  Claim result;
  result.source = source;
  result.pin_class = pin_class;
  result.signal = signal;
  result.colour = std::move(colour);
  return result;
}

Pin pin_with(std::vector<Claim> claims) {
  Pin pin;
  pin.at = {"C1", "12"};
  pin.claims = std::move(claims);
  return pin;
}

// Bands of different claims must not touch in a conclusive measurement, reading by reading.
void expect_apart(const SettleMeasurement& measurement) {
  for (const ClaimBand& one : measurement.bands) {
    for (const ClaimBand& other : measurement.bands) {
      if (&one == &other) continue;
      for (const ReadingBand& a : one.readings) {
        for (const ReadingBand& b : other.readings) {
          EXPECT_TRUE(a.high < b.low || b.high < a.low) << measurement.text << "\n"
                                                        << a.state << " / " << b.state;
        }
      }
    }
  }
}

TEST(Settle, AProvedClaimNeedsNoMeasurement) {
  Pin pin = pin_with({claim("manual", supply_30), claim("chart", low_side_driver)});
  EXPECT_EQ(settle(pin).by, SettleBy::measurement);
  pin.claims[1].proved = true;
  const SettleReport report = settle(pin);
  EXPECT_EQ(report.by, SettleBy::nothing);
  EXPECT_TRUE(report.settles);
  EXPECT_TRUE(report.measurements.empty());
}

TEST(Settle, FeedOrDriverIsSettledByVoltsWithTheKeyOff) {
  const SettleReport report = settle(pin_with({claim("manual", supply_30), claim("chart", low_side_driver)}));
  EXPECT_EQ(report.by, SettleBy::measurement);
  ASSERT_EQ(report.measurements.size(), 1U);
  const SettleMeasurement& first = report.measurements[0];
  EXPECT_TRUE(report.settles);
  EXPECT_TRUE(first.conclusive);
  EXPECT_EQ(first.key, "off");
  EXPECT_EQ(first.setting, "V DC");
  EXPECT_EQ(first.red_lead, "cavity C1-12 of the loom's plug");
  // 11.5 to 14.8 V less and plus 0.5 % and 20 mV; the coil's feed is off.
  EXPECT_NEAR(first.bands[0].low, 11.5 * 0.995 - 0.02, 1e-3);
  EXPECT_NEAR(first.bands[0].high, 14.8 * 1.005 + 0.02, 1e-3);
  EXPECT_NEAR(first.bands[1].high, 0.02, 1e-6);
  EXPECT_THAT(report.advice, HasSubstr("battery feed pin (manual): 11.4 V to 14.9 V."));
  expect_apart(first);
}

TEST(Settle, LowSideOrHighSideIsSettledByVoltsWithTheKeyOn) {
  const SettleReport report = settle(pin_with({claim("a", low_side_driver), claim("b", high_side_driver)}));
  ASSERT_TRUE(report.settles);
  EXPECT_EQ(report.measurements[0].key, "on, engine off");
  expect_apart(report.measurements[0]);
}

TEST(Settle, ALoadToEarthOrAnEarthIsSettledByOhms) {
  const SettleReport report = settle(pin_with({claim("a", power_earth), claim("b", high_side_driver)}));
  ASSERT_TRUE(report.settles);
  EXPECT_EQ(report.measurements[0].setting, "Ω");
  EXPECT_THAT(report.measurements[0].unplugged, HasSubstr("battery's negative lead"));
  expect_apart(report.measurements[0]);
}

TEST(Settle, ThreeClaimsMayNeedMoreThanOneReading) {
  const SettleReport report =
      settle(pin_with({claim("a", supply_15), claim("b", low_side_driver), claim("c", power_earth)}));
  ASSERT_FALSE(report.measurements.empty());
  for (const SettleMeasurement& measurement : report.measurements) EXPECT_EQ(measurement.bands.size(), 3U);
  EXPECT_TRUE(report.settles) << report.advice;
}

TEST(Settle, ClaimsThatNoReadingSeparatesStayOpen) {
  int open = 0;
  for (std::size_t a = 2; a < pin_class_names.size(); ++a) {
    for (std::size_t b = a + 1; b < pin_class_names.size(); ++b) {
      const SettleReport report =
          settle(pin_with({claim("a", static_cast<PinClass>(a)), claim("b", static_cast<PinClass>(b))}));
      if (report.settles) continue;
      ++open;
      SCOPED_TRACE(std::string(pin_class_names[a]) + " or " + std::string(pin_class_names[b]));
      ASSERT_EQ(report.measurements.size(), 1U);
      EXPECT_FALSE(report.measurements[0].conclusive);
      EXPECT_THAT(report.measurements[0].text, HasSubstr("does not settle"));
      ASSERT_EQ(report.left_open.size(), 1U);
      EXPECT_THAT(report.left_open[0], HasSubstr("follow the wire"));
    }
  }
  EXPECT_GT(open, 0);
}

TEST(Settle, DifferentColoursAreSettledByLooking) {
  const SettleReport report = settle(pin_with(
      {claim("a", supply_30, "B+", {"RD", "", "R"}), claim("b", supply_30, "b+", {"RD", "WH", "R/W"})}));
  EXPECT_EQ(report.by, SettleBy::look_at_wire);
  EXPECT_THAT(report.advice, HasSubstr("RD (a), RD/WH (b)"));
  EXPECT_TRUE(report.measurements.empty());
}

TEST(Settle, ForAnotherFunctionOfTheSameClassTheWireIsFollowed) {
  const SettleReport report = settle(
      pin_with({claim("a", low_side_driver, "Shift solenoid A"), claim("b", low_side_driver, "Lock-up")}));
  EXPECT_EQ(report.by, SettleBy::following);
  EXPECT_FALSE(report.settles);
  EXPECT_THAT(report.advice, HasSubstr("Shift solenoid A (a), Lock-up (b)"));
  EXPECT_THAT(report.advice, HasSubstr("continuity"));
}

TEST(Settle, AgreementNeedsNothing) {
  EXPECT_EQ(settle(pin_with({claim("a", knock, "KS"), claim("b", knock, "ks")})).by, SettleBy::nothing);
  EXPECT_EQ(settle(pin_with({})).by, SettleBy::nothing);
}

TEST(Settle, RestraintCircuitsAreNotProbed) {
  Pin pin = pin_with({claim("a", supply_30), claim("b", power_earth)});
  pin.forbidden = true;
  const SettleReport report = settle(pin);
  EXPECT_EQ(report.by, SettleBy::refused);
  EXPECT_TRUE(report.measurements.empty());
}

TEST(Settle, UnknownClaimsAreLeftOpen) {
  const SettleReport report =
      settle(pin_with({claim("a", supply_30), claim("b", power_earth), claim("c", unknown)}));
  ASSERT_EQ(report.left_open.size(), 1U);
  EXPECT_THAT(report.left_open[0], HasSubstr("c does not say"));
}

TEST(Settle, ConclusiveReadingsAreApartForEveryPairOfClasses) {
  int settled = 0;
  int pairs = 0;
  for (std::size_t a = 2; a < pin_class_names.size(); ++a) {
    for (std::size_t b = a + 1; b < pin_class_names.size(); ++b) {
      const Volts supply{(a + b) % 2 == 0 ? 12.0 : 24.0};
      const SettleReport report = settle(
          pin_with({claim("a", static_cast<PinClass>(a)), claim("b", static_cast<PinClass>(b))}), {supply});
      ASSERT_FALSE(report.measurements.empty());
      ++pairs;
      if (report.settles) ++settled;
      EXPECT_EQ(report.settles, report.measurements[0].conclusive) << "one pair, one measurement";
      EXPECT_EQ(report.settles, report.left_open.empty());
      if (report.measurements[0].conclusive) expect_apart(report.measurements[0]);
    }
  }
  std::printf("%d of %d pairs of classes are told apart by one reading\n", settled, pairs);
  EXPECT_GT(settled, pairs / 2);
}

TEST(Settle, AnyClaimsGiveTheSameAnswerTwice) {
  EXPECT_TRUE(rc::check("deterministic", [] {
    const int count = *rc::gen::inRange(0, 7);
    std::vector<Claim> claims;
    for (int k = 0; k < count; ++k) {
      claims.push_back(claim("s", static_cast<PinClass>(*rc::gen::inRange(0, 25))));
    }
    const Pin pin = pin_with(claims);
    const SettleReport first = settle(pin);
    const SettleReport second = settle(pin);
    RC_ASSERT(first.advice == second.advice);
    RC_ASSERT(first.measurements.size() == second.measurements.size());
    if (first.settles) RC_ASSERT(first.by != SettleBy::measurement || !first.measurements.empty());
  }));
}

// Volts in a band, and the volts across the meter in ohms, against ngspice.
TEST(Settle, ReadingsAgreeWithNgspice) {
  if (!reference::have_ngspice()) GTEST_SKIP() << "ngspice is not installed";
  int compared = 0;
  for (const PinClass pin_class :
       {supply_30, low_side_driver, high_side_driver, switch_to_earth_input, can_high}) {
    for (int task = 0; task < meter_task_count; ++task) {
      const auto circuits = meter_circuits(static_cast<MeterTask>(task), pin_class, SystemVolts::nominal_12);
      for (std::size_t k = 0; k < circuits.size(); k += 5) {
        const MeterCircuit& meter = circuits[k];
        const auto point = solve(meter.circuit);
        ASSERT_TRUE(point);
        const auto volts =
            reference::ngspice_volts(netlist(meter.circuit, &*point), meter.circuit.node_count);
        ASSERT_FALSE(volts.empty()) << meter.state;
        EXPECT_NEAR(point->nodes[meter.red.value].si, volts[meter.red.value], 1e-6) << meter.state;
        EXPECT_NEAR(point->nodes[meter.black.value].si, volts[meter.black.value], 1e-6) << meter.state;
        ++compared;
      }
    }
  }
  std::printf("%d meter circuits compared\n", compared);
  EXPECT_GT(compared, 30);
}

TEST(Settle, AnOhmmeterShowsTheResistanceAndItsLeads) {
  // A power earth of 10 to 50 mohm beside 100 Mohm of insulation, through leads of 0.2 ohm, give or take 0.2
  // ohm.
  const auto bands = reading_bands(MeterTask::loom_ohms_to_earth, power_earth, SystemVolts::nominal_12);
  ASSERT_EQ(bands.size(), 1U);
  EXPECT_NEAR(bands[0].low, std::max(0.21 - 0.2 - 0.009 * 0.21, 0.0), 1e-6);
  EXPECT_NEAR(bands[0].high, 0.25 + 0.2 + 0.009 * 0.25, 1e-6);
}

}  // namespace
}  // namespace loomgraft::compare_settle_test
