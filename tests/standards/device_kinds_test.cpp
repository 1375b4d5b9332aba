// The catalogue of devices: complete, consistent, with sources; and every row of data/ with its source.
#include "standards/device_kinds.h"

#include <gtest/gtest.h>

#include <map>
#include <nlohmann/json.hpp>
#include <set>
#include <string>

#include "standards/data_table.h"
#include "standards/embedded.h"

namespace loomgraft::standards_device_kinds_test {
namespace {

const std::set<std::string> statuses{"looked up", "from memory", "common practice", "computed"};

// "resistance_ohm" is in ohm, "ohm_at_20_c" too.
std::string unit_of(const std::string& quantity) {
  static const std::map<std::string, std::string> units{{"ohm", "ohm"}, {"h", "H"}, {"a", "A"}, {"v", "V"},
                                                        {"s", "s"},     {"c", "C"}, {"w", "W"}, {"ah", "Ah"}};
  if (quantity.starts_with("ohm_at_")) return "ohm";
  if (quantity == "self_heat_c") return "K";
  if (quantity == "closed_at_rest") return "yes";
  const auto found = units.find(quantity.substr(quantity.rfind('_') + 1));
  return found == units.end() ? "" : found->second;
}

void expect_sound(const std::string& name, const std::map<std::string, Figure>& figures) {
  for (const auto& [quantity, figure] : figures) {
    EXPECT_EQ(figure.unit, unit_of(quantity)) << name << " " << quantity;
    EXPECT_LE(figure.low(), figure.middle()) << name << " " << quantity;
    EXPECT_LE(figure.middle(), figure.high()) << name << " " << quantity;
    EXPECT_GE(figure.low(), 0.0) << name << " " << quantity;
    EXPECT_FALSE(figure.source.empty()) << name << " " << quantity;
    EXPECT_TRUE(statuses.contains(figure.status)) << name << " " << quantity << " " << figure.status;
  }
}

TEST(DeviceKinds, EachHasTheFiguresOfItsBuild) {
  ASSERT_GE(device_kinds().size(), 30U);
  for (const DeviceKind& kind : device_kinds()) {
    for (const std::string_view quantity : required_figures(kind.build)) {
      EXPECT_TRUE(kind.figures.contains(std::string(quantity))) << kind.name << " " << quantity;
      EXPECT_TRUE(kind.figures_24.contains(std::string(quantity))) << kind.name << " " << quantity;
    }
    expect_sound(kind.name, kind.figures);
    expect_sound(kind.name, kind.figures_24);
    EXPECT_EQ(device_kind(kind.name), &kind);
    const bool joint = kind.build == DeviceBuild::battery || kind.build == DeviceBuild::earth ||
                       kind.build == DeviceBuild::splice;
    EXPECT_EQ(required_figures(kind.build).empty(), joint) << kind.name;
    EXPECT_FALSE(kind.text.empty());
    EXPECT_FALSE(kind.symbol.empty());
    EXPECT_EQ(kind.reference.size(), 1U) << kind.name;
  }
}

TEST(DeviceKinds, HaveTheTerminalsOfTheirBuild) {
  const std::map<DeviceBuild, std::size_t> counts{
      {DeviceBuild::earth, 1},  {DeviceBuild::splice, 1},        {DeviceBuild::relay, 5},
      {DeviceBuild::sensor, 3}, {DeviceBuild::potentiometer, 3}, {DeviceBuild::key_switch, 3}};
  for (const DeviceKind& kind : device_kinds()) {
    const auto found = counts.find(kind.build);
    EXPECT_EQ(kind.terminals.size(), found == counts.end() ? 2U : found->second) << kind.name;
    EXPECT_EQ(std::set(kind.terminals.begin(), kind.terminals.end()).size(), kind.terminals.size());
  }
}

TEST(DeviceKinds, KindsThatAJobNeedsAreThere) {
  for (const char* name : {"battery",
                           "solar",
                           "charger",
                           "trailer_feed",
                           "alternator",
                           "key_switch",
                           "earth",
                           "splice",
                           "fuse",
                           "fusible_link",
                           "relay",
                           "switch_to_earth",
                           "switch_to_supply",
                           "switch",
                           "switch_normally_closed",
                           "lamp",
                           "led_lamp",
                           "valve",
                           "valve_proportional",
                           "injector",
                           "solenoid",
                           "motor",
                           "horn",
                           "heater",
                           "glow_plug",
                           "resistor",
                           "diode",
                           "thermistor",
                           "sensor_hall",
                           "sensor_variable_reluctance",
                           "potentiometer",
                           "pressure_sensor",
                           "controller"})
    EXPECT_NE(device_kind(name), nullptr) << name;
  EXPECT_EQ(device_kind("flux capacitor"), nullptr);
  EXPECT_EQ(device_kind("switch_normally_closed")->figures.at("closed_at_rest").middle(), 1.0);
  EXPECT_EQ(device_kind("switch_to_earth")->figures.at("closed_at_rest").middle(), 0.0);
}

TEST(DeviceModels, EachHasAKnownKindAndPossibleFigures) {
  ASSERT_GE(device_models().size(), 25U);
  std::set<std::string> names;
  for (const DeviceModel& model : device_models()) {
    EXPECT_TRUE(names.insert(model.name).second) << model.name;
    EXPECT_NE(device_kind(model.kind), nullptr) << model.name;
    EXPECT_FALSE(model.text.empty()) << model.name;
    EXPECT_FALSE(model.figures.empty()) << model.name;
    expect_sound(model.name, model.figures);
    for (const auto& [quantity, figure] : model.figures) {
      const auto& usual = device_kind(model.kind)->figures;
      EXPECT_TRUE(usual.contains(quantity) || quantity.starts_with("ohm_at_") || quantity == "rated_v")
          << model.name << " " << quantity;
    }
  }
  EXPECT_EQ(device_model("relay of unobtainium"), nullptr);
}

// TE Power Relay B V23234, coil 001: 85 ohm +/- 10 %, operates by 8 V, releases at 1.5 V or above; 1.7 W at
// 12 V. 24 V coil: 255 ohm, 16 V, 2.3 W. Watts are printed to two digits.
TEST(DeviceModels, RelayHasTheFiguresOfItsSheet) {
  const DeviceModel& relay = *device_model("relay 12 V 85 ohm");
  const Figure& ohms = relay.figures.at("resistance_ohm");
  EXPECT_DOUBLE_EQ(ohms.low(), 76.5);
  EXPECT_DOUBLE_EQ(ohms.high(), 93.5);
  EXPECT_NEAR(144 / ohms.middle(), 1.7, 0.05);
  EXPECT_DOUBLE_EQ(relay.figures.at("pull_in_v").high(), 8);
  EXPECT_DOUBLE_EQ(relay.figures.at("release_v").low(), 1.5);
  EXPECT_NEAR(576 / device_model("relay 24 V 255 ohm")->figures.at("resistance_ohm").middle(), 2.3, 0.05);
  // 15 mV usual and 200 mV highest at 10 A.
  EXPECT_NEAR(relay.figures.at("contact_ohm").middle() * 10, 0.015, 1e-12);
  EXPECT_NEAR(relay.figures.at("contact_ohm").high() * 10, 0.2, 1e-12);
}

// A lamp of 21 W at 12 V draws 1.75 A.
TEST(DeviceModels, LampsDrawTheirWatts) {
  const DeviceModel& lamp = *device_model("lamp 12 V 21 W");
  EXPECT_NEAR(lamp.figures.at("current_a").middle(), 1.75, 1e-12);
  EXPECT_NEAR(12 / lamp.figures.at("resistance_ohm").middle(), 1.75, 0.01);
  EXPECT_LT(lamp.figures.at("cold_ohm").high(), lamp.figures.at("resistance_ohm").middle());
}

TEST(EmbeddedData, EveryRowOfEveryTableHasASourceAndAStatus) {
  const std::set<std::string> free_words{"class_words.csv", "column_heads.csv"};
  for (const EmbeddedFile& file : embedded_files()) {
    if (!file.name.ends_with(".csv") || free_words.contains(std::string(file.name))) continue;
    const DataTable table(file.name);
    for (std::size_t row = 0; row < table.rows(); ++row) {
      EXPECT_FALSE(table.at(row, table.column("source")).empty()) << file.name << " row " << row + 2;
      EXPECT_FALSE(table.at(row, table.column("status")).empty()) << file.name << " row " << row + 2;
    }
  }
}

TEST(EmbeddedData, JsonFilesAreEmbeddedWhole) {
  std::size_t files = 0;
  for (const EmbeddedFile& file : embedded_files()) {
    if (!file.name.ends_with(".json")) continue;
    EXPECT_TRUE(nlohmann::json::accept(file.content)) << file.name;
    ++files;
  }
  EXPECT_EQ(files, 3U);
}

}  // namespace
}  // namespace loomgraft::standards_device_kinds_test
