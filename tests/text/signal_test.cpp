#include "text/signal.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <string>
#include <vector>

#include "text/signal_words.h"

namespace loomgraft::text_signal_test {
namespace {

using ::testing::ElementsAre;

std::vector<std::string> words_of(std::string_view name) {
  const NameWords split = split_name(name, [](std::string_view run) { return run == "vbat"; });
  std::vector<std::string> result;
  for (const NameWord& word : split.words) result.emplace_back(word.text);
  return result;
}

TEST(NameWords, CutsAtMarksCaseAndNumbers) {
  EXPECT_THAT(words_of("auxMain"), ElementsAre("aux", "main"));
  EXPECT_THAT(words_of("CANHigh"), ElementsAre("can", "high"));
  EXPECT_THAT(words_of("VBat"), ElementsAre("vbat"));  // known, so left whole
  EXPECT_THAT(words_of("M_CAN1_H"), ElementsAre("m", "can", "1", "h"));
  EXPECT_THAT(words_of("K-Line"), ElementsAre("k", "line"));
  EXPECT_THAT(words_of("TPS #02"), ElementsAre("tps", "2"));
}

TEST(NameWords, SignsAreWordsOnlyWhereTheyMeanPolarity) {
  EXPECT_THAT(words_of("VR+"), ElementsAre("vr", "+"));
  EXPECT_THAT(words_of("VR- in"), ElementsAre("vr", "-", "in"));
  EXPECT_THAT(words_of("LSU Heater -"), ElementsAre("lsu", "heater", "-"));
  EXPECT_THAT(words_of("-ETB_OUT"), ElementsAre("-", "etb", "out"));
  EXPECT_THAT(words_of("+12V"), ElementsAre("12", "v"));
  EXPECT_THAT(words_of("23 - Coil 4"), ElementsAre("23", "coil", "4"));
  EXPECT_THAT(words_of("DATA+/DATA-"), ElementsAre("data", "+", "data", "-"));
  EXPECT_THAT(words_of("speaker (+)"), ElementsAre("speaker", "+"));
  EXPECT_TRUE(words_of("---").empty());
}

TEST(NameWords, LowerCaseIsTheSameEverywhere) {
  EXPECT_EQ(lower_case("ÖLDRUCK İŞĞ Å"), "öldruck işğ å");
  EXPECT_EQ(lower_case("Żółty"), "żółty");
}

const TermDictionary& dictionary() {
  static const TermDictionary terms({{"tps", "TP", "", "voltage_input"},
                                     {"gnd", "GND", "", "power_earth"},
                                     {"sensor gnd", "SENSOR GND", "", "sensor_earth"},
                                     {"sensor", "", "", ""},
                                     {"can # h", "CAN", "high #", "can_high"},
                                     {"can h", "CAN", "high", "can_high"},
                                     {"h", "", "high", ""},
                                     {"second", "", "2", ""},
                                     {"not used", "N/C", "", "no_connection"},
                                     {"nc", "N/C", "", "no_connection"},
                                     {"switch", "", "switch", "switch_to_earth_input"},
                                     {"input", "", "in", ""},
                                     {"and", "", "", ""},
                                     {"injector # # supply", "INJ SUPPLY", "", "supply_output"},
                                     {"injector", "INJ", "", "injector"}});
  return terms;
}

TEST(Signal, LongestPhraseWins) {
  EXPECT_EQ(dictionary().normalise("Sensor GND").term, "SENSOR GND");
  EXPECT_EQ(dictionary().normalise("GND sensor").term, "GND");
}

TEST(Signal, NumbersQualify) {
  EXPECT_EQ(dictionary().normalise("TPS2"), dictionary().normalise("second TPS input"));
  EXPECT_THAT(dictionary().normalise("CAN3-H").words, ElementsAre("3", "high"));
  EXPECT_NE(dictionary().normalise("CAN 0 H"), dictionary().normalise("CAN 1 H"));
}

TEST(Signal, ListsOfNumbersAreOneHoweverTheyAreJoined) {
  const SignalName list = dictionary().normalise("injector 1/4 supply");
  EXPECT_EQ(list.term, "INJ SUPPLY");
  EXPECT_THAT(list.words, ElementsAre("1", "4"));
  for (const char* text : {"injector 1+4 supply", "injector 1,4 supply", "injector 1 & 4 supply",
                           "injector 1 and 4 supply", "injector 1, 4 supply"}) {
    EXPECT_EQ(dictionary().normalise(text), list) << text;
  }
  EXPECT_THAT(dictionary().normalise("injector 1 and left").words, ElementsAre("1", "left"));
}

TEST(Signal, AnEarthOfASensorIsAnEarth) {
  const SignalName name = dictionary().normalise("TPS gnd");
  EXPECT_EQ(name.term, "GND");
  EXPECT_THAT(name.words, ElementsAre("tp"));
  EXPECT_EQ(name.class_hint, "sensor_earth");
}

TEST(Signal, AbsentOnlyWhereNothingElseIsNamed) {
  for (const char* text : {"not used", "NC", "-", "--", ".", "not used, blanking plug"})
    EXPECT_TRUE(dictionary().normalise(text).absent) << text;
  for (const char* text : {"switch NC", "?", "", "TPS", "not used, GND on later ones", "TPS, not used"})
    EXPECT_FALSE(dictionary().normalise(text).absent) << text;
}

TEST(Signal, UnknownNamesKeepTheirWords) {
  const SignalName name = dictionary().normalise("Frobnicator left");
  EXPECT_EQ(name.term, "");
  EXPECT_THAT(name.words, ElementsAre("frobnicator", "left"));
}

TEST(Signal, AnyTextIsReadAndMarksDoNotMatter) {
  rc::check("never fails", [](const std::string& text) { (void)dictionary().normalise(text); });
  rc::check("blanks and underscores are alike", [] {
    const auto parts = *rc::gen::container<std::vector<std::string>>(
        rc::gen::element<std::string>("tps", "gnd", "left", "7", "sensor", "can", "h"));
    std::string with_blanks;
    std::string with_marks;
    for (const std::string& part : parts) {
      with_blanks += part + " ";
      with_marks += part + "_";
    }
    RC_ASSERT(dictionary().normalise(with_blanks) == dictionary().normalise(with_marks));
  });
  EXPECT_FALSE(dictionary().normalise(std::string(10000, 'g')).absent);
}

}  // namespace
}  // namespace loomgraft::text_signal_test
