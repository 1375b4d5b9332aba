// Rule sets: inheritance, names, sources.
#include "standards/rule_sets.h"

#include <gtest/gtest.h>

#include <set>
#include <string>

#include "standards/network_figures.h"

namespace loomgraft::standards_rule_sets_test {
namespace {

const std::set<std::string> statuses{"looked up", "from memory", "common practice", "computed"};

// Every name that the design stage asks for.
const char* const names[] = {"drop_supply_v",           "drop_earth_v",
                             "drop_switch_v",           "drop_path_fraction",
                             "fuse_load_fraction",      "fuse_of_wire_fraction",
                             "fuse_from_source_mm",     "motor_factor",
                             "ambient_cabin_c",         "ambient_engine_c",
                             "bundle_fill_fraction",    "bend_diameters",
                             "slack_fraction",          "smallest_wire_mm2",
                             "sensor_earth_offset_v",   "sensor_earth_offset_fraction",
                             "wetting_current_a",       "sleep_current_a",
                             "joint_distance_mm",       "clamp_energy_fraction",
                             "driver_current_fraction", "pull_in_margin_fraction",
                             "logic_margin_v",          "exhaust_clearance_mm"};

TEST(RuleSets, EachHasEveryRule) {
  ASSERT_EQ(rule_sets().size(), 3U);
  for (const RuleSet& set : rule_sets()) {
    for (const char* name : names) EXPECT_TRUE(set.rules.contains(name)) << set.name << " " << name;
  }
}

TEST(RuleSets, EveryValueHasASource) {
  for (const RuleSet& set : rule_sets()) {
    for (const auto& [name, rule] : set.rules) {
      EXPECT_EQ(name, rule.name);
      EXPECT_FALSE(rule.text.empty()) << name;
      EXPECT_FALSE(rule.value.source.empty()) << name;
      EXPECT_TRUE(statuses.contains(rule.value.status)) << name;
      EXPECT_GE(rule.value.value, 0.0) << name;
      for (const RuleValue& other : rule.others) {
        EXPECT_FALSE(other.source.empty()) << name;
        EXPECT_TRUE(statuses.contains(other.status)) << name;
      }
    }
    for (std::size_t i = 1; i < set.stock.size(); ++i) EXPECT_GT(set.stock[i], set.stock[i - 1]);
    ASSERT_FALSE(set.stock.empty());
  }
}

TEST(RuleSets, UnitMatchesTheName) {
  for (const RuleSet& set : rule_sets()) {
    for (const auto& [name, rule] : set.rules) {
      for (const char* unit : {"_v", "_a", "_c", "_mm", "_mm2"}) {
        if (!name.ends_with(unit)) continue;
        std::string wanted = unit + 1;
        if (wanted.size() == 1) wanted[0] = static_cast<char>(wanted[0] - 'a' + 'A');
        EXPECT_EQ(rule.unit, wanted) << name;
      }
      if (name.ends_with("_fraction")) {
        EXPECT_LE(rule.value.value, 1.0) << name;
      }
    }
  }
}

// Apex Tech Nation T-4: power wire 0.2 V, switch 0.3 V, earth 0.1 V. Ford Transit mounting manual: cabin 85
// C, engine bay 125 C; motors three times their running current.
TEST(RuleSets, PassengerVehicleAsPublished) {
  const RuleSet& set = *rule_set("passenger_vehicle");
  EXPECT_DOUBLE_EQ(set.rules.at("drop_supply_v").value.value, 0.2);
  EXPECT_DOUBLE_EQ(set.rules.at("drop_switch_v").value.value, 0.3);
  EXPECT_DOUBLE_EQ(set.rules.at("drop_earth_v").value.value, 0.1);
  EXPECT_DOUBLE_EQ(set.rules.at("ambient_cabin_c").value.value, 85);
  EXPECT_DOUBLE_EQ(set.rules.at("ambient_engine_c").value.value, 125);
  EXPECT_DOUBLE_EQ(set.rules.at("motor_factor").value.value, 3);
}

TEST(RuleSets, InheritRulesTheyDoNotState) {
  const RuleSet& car = *rule_set("passenger_vehicle");
  const RuleSet& boat = *rule_set("marine");
  EXPECT_DOUBLE_EQ(boat.rules.at("bend_diameters").value.value, car.rules.at("bend_diameters").value.value);
  EXPECT_LT(boat.rules.at("drop_path_fraction").value.value, car.rules.at("drop_path_fraction").value.value);
  EXPECT_EQ(car.rules.at("drop_path_fraction").others.size(), 4U);
  EXPECT_EQ(rule_set("spaceship"), nullptr);
}

TEST(RuleSets, DefaultFollowsTheSupply) {
  EXPECT_EQ(default_rule_set(Volts{12}).name, "passenger_vehicle");
  EXPECT_EQ(default_rule_set(Volts{24}).name, "commercial_24v");
  EXPECT_EQ(default_rule_set(Volts{24}).rules.at("drop_earth_v").value.value, 0.2);
}

TEST(NetworkFigures, AreThereForBothSystems) {
  for (const char* name : {"contact_ohm", "splice_ohm", "earth_joint_ohm", "body_ohm", "battery_ohm",
                           "leakage_ohm", "running_v", "resting_v", "working_v", "cranking_v", "ambient_c",
                           "engine_bay_c", "wire_length_m", "wire_mm2", "meter_shunt_ohm"}) {
    for (const SystemVolts system : {SystemVolts::nominal_12, SystemVolts::nominal_24}) {
      const Figure& figure = network_figure(name, system);
      EXPECT_LE(figure.low(), figure.middle()) << name;
      EXPECT_LE(figure.middle(), figure.high()) << name;
      EXPECT_TRUE(statuses.contains(figure.status)) << name;
      EXPECT_FALSE(figure.source.empty()) << name;
    }
  }
  EXPECT_DOUBLE_EQ(network_figure("running_v", SystemVolts::nominal_24).middle(), 28.0);
  EXPECT_DOUBLE_EQ(network_figure("running_v", SystemVolts::nominal_12).middle(), 14.0);
  EXPECT_THROW(network_figure("charm", SystemVolts::nominal_12), std::logic_error);
}

}  // namespace
}  // namespace loomgraft::standards_rule_sets_test
