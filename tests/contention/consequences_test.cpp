#include "contention/consequences.h"

#include <gtest/gtest.h>

namespace loomgraft::standards_consequences_test {
namespace {

struct Line {
  const char* name;
  const char* circuit;  // nullptr: none
};

constexpr Line lines[] = {
    {"Crank relay output", "starter"},
    {"Anlasserrelais K4", "starter"},
    {"Démarreur", "starter"},
    {"Kraftstoffpumpenrelais", "fuel pump"},
    {"Injector cyl 3", "injection"},
    {"Abstellmagnet", "fuel shut-off solenoid (energise to run)"},
    {"Tail lift valve", "lifting and hydraulics"},
    {"Zapfwelle ein", "PTO"},
    {"Window up, driver", "windows and roof (crush)"},
    {"Door lock motor", "central locking"},
    {"Steering valve", "steering (power assistance)"},
    {"Warnblinkschalter", "hazard"},
    {"Stop lamps", "brake lamps"},
    {"Cooling fan 2", "radiator fan"},
    {"Brake fluid level", nullptr},
    {"Steering wheel controls", nullptr},
    {"Starter battery voltage", nullptr},
    {"Coolant temperature", nullptr},
    {"Starterkit note", nullptr},
    {"Canister vent", nullptr},
};

TEST(Consequences, AreFoundByTheWordsOfAName) {
  for (const Line& line : lines) {
    const CircuitConsequences found = consequences_of({line.name}, "");
    const Consequence* any = found.worked ? found.worked : found.lost;
    ASSERT_EQ(any != nullptr, line.circuit != nullptr) << line.name << (any ? " is " + any->circuit : "");
    if (any) {
      EXPECT_EQ(any->circuit, line.circuit) << line.name;
    }
  }
}

TEST(Consequences, AreFoundByFarEndAndTermToo) {
  EXPECT_EQ(consequences_of({"Output 7", "winch relay"}, "").worked->circuit, "winch");
  EXPECT_EQ(consequences_of({"Output 7", ""}, "STARTER").worked->circuit, "starter");
  EXPECT_EQ(consequences_of({"Brake fluid level", "starter"}, "STARTER").worked, nullptr)
      << "the name says what it is";
  EXPECT_EQ(consequences_of({}, "").worked, nullptr);
}

TEST(Consequences, EachRowSaysWhatMayHappen) {
  EXPECT_GE(all_consequences().size(), 61U);
  for (const Consequence& row : all_consequences()) {
    EXPECT_EQ(row.may.starts_with("may "), row.worked != HarmSeverity::none) << row.circuit;
    EXPECT_TRUE(row.lost == HarmSeverity::none || !row.when_lost.empty()) << row.circuit;
    EXPECT_FALSE(row.source.empty() || row.status.empty()) << row.circuit;
  }
}

}  // namespace
}  // namespace loomgraft::standards_consequences_test
