// Test voltages of ISO 16750-2 and pulses of ISO 7637-2 against the figures of their sources.
#include "standards/supply_events.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace loomgraft {
namespace {

constexpr SystemVolts v12 = SystemVolts::nominal_12;
constexpr SystemVolts v24 = SystemVolts::nominal_24;

struct Published {
  const char* event;
  const char* level;
  const char* quantity;
  SystemVolts system;
  double low;
  double high;
  const char* source;
};

// As printed: no tolerance but the rounding of a decimal.
constexpr double tolerance = 1e-9;

constexpr Published published[] = {
    {"supply_range", "A", "lowest", v12, 6, 6, "BS ISO 16750-2:2010 table of supply codes"},
    {"supply_range", "A", "highest", v12, 16, 16, "BS ISO 16750-2:2010 table of supply codes"},
    {"supply_range", "D", "lowest", v12, 10.5, 10.5, "BS ISO 16750-2:2010 table of supply codes"},
    {"supply_range", "E", "lowest", v24, 10, 10, "BS ISO 16750-2:2010 table of supply codes"},
    {"supply_range", "G", "lowest", v24, 22, 22, "BS ISO 16750-2:2010 table of supply codes"},
    {"supply_range", "H", "highest", v24, 32, 32, "BS ISO 16750-2:2010 table of supply codes"},
    {"load_dump", "A", "peak", v12, 79, 101, "ISO 16750-2 test A, power supply manual p. 93"},
    {"load_dump", "A", "peak", v24, 151, 202, "ISO 16750-2 test A, power supply manual p. 93"},
    {"load_dump_clamped", "B", "clamped", v12, 35, 35, "ISO 16750-2 test B, power supply manual p. 94"},
    {"load_dump_clamped", "B", "clamped", v24, 58, 58, "ISO 16750-2 test B, power supply manual p. 94"},
    {"load_dump", "A", "before", v24, 28, 28, "ISO 16750-2 test A, power supply manual p. 93"},
    {"jump_start", "", "supply", v12, 24, 24, "ISO 16750-2:2012, from memory"},
    {"reversed", "2", "supply", v12, -14, -14, "ISO 16750-2:2012, from memory"},
    {"reversed", "2", "supply", v24, -28, -28, "ISO 16750-2:2012, from memory"},
    {"overvoltage", "", "supply", v12, 18, 18, "ISO 16750-2:2012, from memory"},
    {"overvoltage", "", "supply", v24, 36, 36, "ISO 16750-2:2012, from memory"},
    {"starting", "I", "deepest", v12, 8, 8, "ISO 16750-2:2003 level I, generator file"},
    {"starting", "III", "plateau", v24, 10, 10, "ISO 16750-2:2006 level III, generator file"},
    {"pulse_1", "IV", "peak", v12, -150, -150, "ISO 7637-2:2011 annex A, from memory"},
    {"pulse_1", "IV", "peak", v24, -600, -600, "ISO 7637-2:2011 5.6.1, generator file"},
    {"pulse_2a", "IV", "peak", v12, 112, 112, "ISO 7637-2:2011 5.6.2, generator file"},
    {"pulse_3a", "III", "peak", v24, -220, -220, "ISO 7637-2:2011 annex A, from memory"},
    {"pulse_3b", "III", "peak", v24, 220, 220, "ISO 7637-2:2011 5.6.3, generator file"},
};

TEST(SupplyEvents, AreAsPublished) {
  for (const Published& row : published) {
    const SupplyEvent& event = supply_event(row.event, row.quantity, row.system, row.level);
    EXPECT_NEAR(event.volts.low(), row.low, tolerance) << row.event << ' ' << row.level << ": " << row.source;
    EXPECT_NEAR(event.volts.high(), row.high, tolerance)
        << row.event << ' ' << row.level << ": " << row.source;
  }
}

TEST(SupplyEvents, ALoadDumpHasTheResistanceOfItsSource) {
  // ISO 16750-2 test A, power supply manual p. 93: 0.5 to 4 ohm on 12 V, 1 to 8 ohm on 24 V.
  const SupplyEvent& car = supply_event("load_dump", "peak", v12);
  const SupplyEvent& lorry = supply_event("load_dump", "peak", v24);
  ASSERT_TRUE(car.lowest_resistance && car.highest_resistance && lorry.highest_resistance);
  EXPECT_NEAR(car.lowest_resistance->si, 0.5, tolerance);
  EXPECT_NEAR(car.highest_resistance->si, 4.0, tolerance);
  EXPECT_NEAR(lorry.highest_resistance->si, 8.0, tolerance);
}

TEST(SupplyEvents, EachRowHasItsSourceAndWhatWasLookedUpStandsFirst) {
  std::set<std::string> seen_from_memory;
  for (const SupplyEvent& event : supply_events()) {
    const std::string key =
        event.event + "/" + event.level + "/" + event.quantity + (event.system == v24 ? "/24" : "/12");
    EXPECT_FALSE(event.volts.source.empty()) << key;
    EXPECT_EQ(event.volts.unit, "V") << key;
    EXPECT_TRUE(event.volts.status == "looked up" || event.volts.status == "from memory") << key;
    if (event.volts.status == "from memory") seen_from_memory.insert(key);
    EXPECT_FALSE(event.volts.status == "looked up" && seen_from_memory.contains(key)) << key;
  }
}

TEST(SupplyEvents, AMissingRowIsABug) {
  EXPECT_THROW(supply_event("eclipse", "peak", v12), std::logic_error);
}

}  // namespace
}  // namespace loomgraft
