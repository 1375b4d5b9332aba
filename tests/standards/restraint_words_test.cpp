#include "standards/restraint_words.h"

#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace loomgraft {
namespace {

// Words of maintenance manuals and rescue sheets as data/restraint_words.csv has them, in the forms that tables use.
TEST(RestraintWords, AreFoundInManyFormsAndLanguages) {
  const std::vector<std::string> texts{"driver airbag squib",
                                       "AIR-BAG LH",
                                       "Fahrerairbag Stufe 2",
                                       "SRS pretensioner",
                                       "pre-tensioner right",
                                       "Gurtstraffer links",
                                       "Gurtschloss-Schalter",
                                       "Zuendpille +",
                                       "ZÜNDPILLE -",
                                       "prétensionneur conducteur",
                                       "PRETENSIONNEUR",
                                       "pretensor izquierdo",
                                       "bolsa de aire",
                                       "puritenshona",
                                       "SRS2 lamp",
                                       "squibs",
                                       "crash output",
                                       "krockkudde",
                                       "seatbelt tensioner",
                                       "passenger_airbag_off"};
  for (const std::string& text : texts) {
    const auto found = restraint_word(text);
    ASSERT_TRUE(found) << text;
    EXPECT_EQ(found->kind, RestraintKind::restraint) << text << ": " << found->word;
  }
}

TEST(RestraintWords, FindHighVoltageByWordAndByVoltage) {
  for (const char* text : {"400 V compressor", "Hochvolt-Heizer", "HV+", "traction battery", "650VDC link",
                           "câble orange", "haute tension", "60 V", "HV-Interlock", "HVIL"}) {
    const auto found = restraint_word(text);
    ASSERT_TRUE(found) << text;
    EXPECT_NE(found->kind, RestraintKind::restraint) << text << ": " << found->word;
  }
}

TEST(RestraintWords, LeaveOrdinaryCircuitsAlone) {
  for (const char* text : {"coolant temperature",
                           "air suspension air bag pressure",
                           "ignition igniter signal IGT",
                           "PTO interlock switch",
                           "clutch interlock",
                           "drive belt tensioner",
                           "dear sir",
                           "12 V supply",
                           "5 V reference",
                           "24V",
                           "48 V",
                           "59 V",
                           "cranking",
                           "hair bag",
                           "injector 1",
                           "battery voltage 14 V",
                           "A1000",
                           "horn",
                           "seat heater",
                           "lamp",
                           "injector, flyback 65 V",
                           ""}) {
    const auto found = restraint_word(text);
    EXPECT_FALSE(found) << text << ": " << (found ? found->word : "");
  }
}

TEST(RestraintWords, AVoltageOfAnInjectorIsItsOwn) {
  EXPECT_TRUE(restraint_word("up to 80 V"));
  EXPECT_FALSE(restraint_word("up to 80 V", "injector 2"));
  EXPECT_TRUE(restraint_word("airbag", "injector 2"));
}

TEST(RestraintWords, AbbreviationsCountInCapitalsOnly) {
  EXPECT_TRUE(restraint_word("SIR module"));
  EXPECT_FALSE(restraint_word("Sir module"));
  EXPECT_FALSE(restraint_word("SIRENE"));
}

}  // namespace
}  // namespace loomgraft
