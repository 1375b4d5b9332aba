#include "standards/dictionary.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "base/ascii.h"
#include "standards/data_table.h"
#include "standards/obd_dates.h"
#include "standards/pin_class.h"

namespace loomgraft::standards_dictionary_test {
namespace {

using ::testing::ElementsAre;

SignalName name(std::string_view text) {
  return term_dictionary().normalise(text);
}

TEST(Terms, EveryRowHasASourceAndAKnownClass) {
  const DataTable table("terms.csv");
  EXPECT_GE(table.rows(), 300U);
  std::set<std::string> phrases;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const std::string& hint = table.at(row, table.column("class_hint"));
    EXPECT_TRUE(hint.empty() || pin_class_of(trimmed(hint, "~")).has_value()) << hint;
    EXPECT_FALSE(table.at(row, table.column("source")).empty());
    EXPECT_TRUE(phrases.insert(table.at(row, table.column("phrase"))).second) << table.at(row, 0);
  }
}

TEST(Terms, SpellingsOfOneSignalAreOne) {
  const std::vector<std::vector<std::string_view>> groups{
      {"TPS2", "TPS 2", "TPS-2", "throttle position sensor #2", "TPS 2 sensor input"},
      {"Power Ground", "Power GND", "PGND"},
      {"Analog Ground", "Sensor Ground", "sensor gnd"},
      {"VSS IN", "VSS in", "vehicle speed sensor"},
      {"+5V", "+5v", "5V reference", "Sensor +5V"},
      {"CAN-H", "CAN H", "CAN bus high", "CANH", "CAN_H"},
      {"CAN 0 HI", "CAN0-H"},
      {"coolant temp snsr", "ECT", "CLT sensor", "Kühlmitteltemperatur"},
      {"Injector 1", "Inj #1", "INJ_1", "Injector 1 Output", "fuel injector no. 1"},
      {"front left speaker (+)", "speaker left front +"},
      {"n/c", "NC", "not used", "-", "--", "spare", "open", "None", "x"},
      {"KL.15", "Kl 15", "Klemme 15"},
      {"term. 31", "Masse"}};
  for (const auto& group : groups) {
    for (const std::string_view text : group)
      EXPECT_EQ(name(text), name(group[0])) << text << " / " << group[0];
  }
}

TEST(Terms, DifferentSignalsStayApart) {
  const std::vector<std::pair<std::string_view, std::string_view>> pairs{{"Injector 1", "Injector 2"},
                                                                         {"CAN 0 HI", "CAN 0 LO"},
                                                                         {"CAN 0 HI", "CAN 1 HI"},
                                                                         {"VR+", "VR-"},
                                                                         {"GND", "EXT GND"},
                                                                         {"GND", "Power Ground"},
                                                                         {"Digital In 0", "Digital Out 0"},
                                                                         {"+12V In", "+12V Out"},
                                                                         {"Front Coil", "Rear Coil"},
                                                                         {"TPS 1", "TPS 2"},
                                                                         {"Front Knock +", "Front Knock -"},
                                                                         {"ECT", "ECT sensor ground"}};
  for (const auto& [a, b] : pairs) EXPECT_NE(name(a), name(b)) << a << " / " << b;
}

TEST(Terms, TermsAndClasses) {
  struct Row {
    const char* text;
    const char* term;
    const char* hint;
  };
  const std::vector<Row> rows{{"KL.15", "IGN", "supply_15"},
                              {"Kl 30", "B+", "supply_30"},
                              {"term. 31", "GND", "power_earth"},
                              {"CAN3-H", "CAN", "can_high"},
                              {"CAN_L", "CAN", "can_low"},
                              {"K-Line", "K-LINE", "serial_line"},
                              {"Fuel Pump Relay Output (low)", "FP", "low_side_driver"},
                              {"Ignition relay", "IGN", "low_side_driver"},
                              {"Coil 4", "IC", "ignition_trigger"},
                              {"ECT sensor ground", "GND", "sensor_earth"},
                              {"+12V Out", "12V", "supply_output"},
                              {"O2 sensor heater", "O2S HTR", "low_side_driver"},
                              {"INJ_7/VVT", "INJ", "injector"},
                              {"Shield", "SHIELD", "shield"}};
  for (const Row& row : rows) {
    EXPECT_EQ(name(row.text).term, row.term) << row.text;
    EXPECT_EQ(name(row.text).class_hint, row.hint) << row.text;
  }
  EXPECT_THAT(name("CAN3-H").words, ElementsAre("3", "high"));
  EXPECT_FALSE(name("Brake switch NC").absent);
}

TEST(Colours, EveryRowGivesIecLetters) {
  const std::set<std::string> letters{"",   "BK", "BN", "RD", "OG", "YE", "GN", "BU",
                                      "VT", "GY", "WH", "PK", "TQ", "SR", "GD", "GNYE"};
  const DataTable table("colours.csv");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    EXPECT_TRUE(letters.contains(table.at(row, table.column("colour")))) << table.at(row, 1);
    EXPECT_FALSE(table.at(row, table.column("source")).empty());
  }
  // IEC 60757: the letters themselves.
  for (const auto& [code, colour] : colour_notations().front().codes) EXPECT_EQ(code, colour);
}

TEST(Colours, NotationIsInferredFromTheColumn) {
  struct Case {
    std::vector<std::string_view> raw;
    const char* notation;
    std::vector<std::string> read;
  };
  const std::vector<Case> cases{
      {{"B", "L", "SB", "GR", "G/Y"}, "Japanese letters", {"BK", "BU", "BU", "GY", "GN/YE"}},
      {{"SW", "RT", "WS", "rt/ws 0,75", "0.5 br/ge"}, "German letters", {"BK", "RD", "WH", "RD/WH", "BN/YE"}},
      {{"YE-BU", "BK", "BN", "OG"}, "IEC 60757", {"YE/BU", "BK", "BN", "OG"}},
      {{"BLK", "LT GRN", "DK BLU/WHT"}, "North American three-letter", {"BK", "GN", "BU/WH"}},
      {{"U", "N", "NR", "B"}, "BS AU 7", {"BU", "BN", "BN/RD", "BK"}},
      {{"grün", "vert/jaune", "azul", "rosso"}, "words", {"GN", "GN/YE", "BU", "RD"}}};
  for (const Case& c : cases) {
    const ColourReading reading = read_colours(c.raw, colour_notations());
    EXPECT_EQ(reading.notation, c.notation);
    for (std::size_t i = 0; i < c.raw.size(); ++i)
      EXPECT_EQ(print(reading.colours[i]), c.read[i]) << c.raw[i];
  }
}

TEST(Colours, NineLanguagesNameEveryColour) {
  for (const std::string language :
       {"English", "German", "French", "Spanish", "Italian", "Dutch", "Polish", "Swedish", "Japanese"}) {
    std::set<std::string> named;
    for (const ColourNotation& notation : colour_notations()) {
      if (notation.name != "words " + language) continue;
      EXPECT_TRUE(notation.full_words) << language;
      for (const auto& [word, colour] : notation.codes) named.insert(colour);
    }
    for (const char* colour :
         {"BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "TQ", "GD", "SR", ""})
      EXPECT_TRUE(named.contains(colour)) << "\"" << colour << "\" in " << language;
  }
}

TEST(Colours, WordsOfOneSpellingAreOneColour) {
  std::map<std::string, std::string> colour_of;
  for (const ColourNotation& notation : colour_notations()) {
    if (!notation.full_words) continue;
    for (const auto& [word, colour] : notation.codes) {
      const auto [at, fresh] = colour_of.emplace(word, colour);
      EXPECT_TRUE(fresh || at->second == colour) << word << " in " << notation.name;
    }
  }
}

TEST(Colours, WordsOfManuals) {
  const std::vector<std::pair<std::string_view, std::string_view>> cases{{"bleu clair", "BU"},
                                                                         {"vert foncé/jaune", "GN/YE"},
                                                                         {"weiss/grün", "WH/GN"},
                                                                         {"grun", "GN"},
                                                                         {"hellgrau", "GY"},
                                                                         {"marrón", "BN"},
                                                                         {"marron", "BN"},
                                                                         {"azul claro/blanco", "BU/WH"},
                                                                         {"rosa", "PK"},
                                                                         {"giallo/nero", "YE/BK"},
                                                                         {"azzurro", "BU"},
                                                                         {"lichtblauw", "BU"},
                                                                         {"donkergroen/wit", "GN/WH"},
                                                                         {"zielono-żółty", "GN/YE"},
                                                                         {"zolty", "YE"},
                                                                         {"jasny niebieski", "BU"},
                                                                         {"ljusgrön", "GN"},
                                                                         {"mörk blå", "BU"},
                                                                         {"kuro", "BK"},
                                                                         {"midori/kiiro", "GN/YE"},
                                                                         {"mizuiro", "BU"},
                                                                         {"chairo", "BN"},
                                                                         {"L.Green", "GN"},
                                                                         {"Lt Blue", "BU"},
                                                                         {"Dk Green", "GN"},
                                                                         {"Lt.Grn", "GN"},
                                                                         {"D/Blue", "BU"},
                                                                         {"Red/L.Green", "RD/GN"},
                                                                         {"L.Green/Black", "GN/BK"},
                                                                         {"Light Green", "GN"}};
  for (const auto& [text, colour] : cases) {
    const std::vector<std::string_view> column{text};
    EXPECT_EQ(print(read_colours(column, colour_notations()).colours[0]), colour) << text;
  }
}

TEST(Colours, ALetterBeforeAColourWithoutShadesIsAColour) {
  const std::vector<std::string_view> column{"L", "L/W", "B/L", "L.Green", "LG"};
  const std::vector<std::string_view> read{"BU", "BU/WH", "BK/BU", "GN", "GN"};
  const ColourReading reading = read_colours(column, colour_notations());
  EXPECT_EQ(reading.notation, "Japanese letters");
  for (std::size_t i = 0; i < column.size(); ++i) EXPECT_EQ(print(reading.colours[i]), read[i]) << column[i];
}

// Letters of one country's diagrams win where only they read the column, and cast no doubt on the common ones.
TEST(Colours, LettersOfOneCountry) {
  struct Case {
    std::vector<std::string_view> raw;
    const char* notation;
    std::vector<std::string> read;
  };
  const std::vector<Case> cases{
      {{"N", "B", "R", "V", "G", "A"}, "Italian letters", {"BK", "WH", "RD", "GN", "YE", "BU"}},
      {{"BA", "BE", "NO", "RG", "VE", "JN"}, "French letters", {"WH", "BU", "BK", "RD", "GN", "YE"}},
      {{"ZW", "BR", "RD", "GS", "WT"}, "Dutch letters", {"BK", "BN", "RD", "GY", "WH"}},
      {{"R", "G"}, "Japanese letters", {"RD", "GN"}}};
  for (const Case& c : cases) {
    const ColourReading reading = read_colours(c.raw, colour_notations());
    EXPECT_EQ(reading.notation, c.notation);
    EXPECT_NE(reading.alternative.value_or(""), "Italian letters");
    for (std::size_t i = 0; i < c.raw.size(); ++i)
      EXPECT_EQ(print(reading.colours[i]), c.read[i]) << c.raw[i];
  }
}

TEST(Terminals, NumbersOfDin72552GiveTheClass) {
  EXPECT_EQ(term_dictionary().normalise("Kl. 30").class_hint, "supply_30");
  EXPECT_EQ(term_dictionary().normalise("Klemme 31").class_hint, "power_earth");
}

TEST(ObdDates, DatesOfUsFederalRulesAreThere) {
  // US federal: petrol from model year 1996, diesel 1997 (see the table's own sources).
  int found = 0;
  for (const ObdDate& date : obd_dates()) {
    if (date.region == "US federal" && date.event.starts_with("OBD-II required")) {
      ++found;
      EXPECT_TRUE(date.year == 1996 || date.year == 1997);
    }
  }
  EXPECT_EQ(found, 2);
}

TEST(DataTable, UndoesQuotesAndRefusesWrongNames) {
  const DataTable table("terminals.csv");
  EXPECT_EQ(table.at(0, table.column("meaning")), "ignition coil or distributor, low voltage");
  EXPECT_THROW((void)table.column("nonsense"), std::logic_error);
  EXPECT_THROW(DataTable("nonsense.csv"), std::logic_error);
  EXPECT_EQ(table.at(0, 99), "");
}

}  // namespace
}  // namespace loomgraft::standards_dictionary_test
