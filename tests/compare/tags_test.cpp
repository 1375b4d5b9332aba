#include "compare/tags.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <algorithm>

#include "compare/tag_circuits.h"
#include "compare/tag_dates.h"
#include "standards/obd_dates.h"

namespace loomgraft::compare_tags_test {
namespace {

using namespace loomgraft::compare;

using testing::HasSubstr;

ModuleTags tags(const std::string& diagnostics, const std::string& years, const std::string& market,
                const std::string& transmission = "manual") {
  return {"G2", diagnostics, years, market, transmission, "B-100"};
}

Module module_with(ModuleTags tags) {
  Module made;
  made.name = "engine controller";
  made.tags = std::move(tags);
  return made;
}

Pin pin(const std::string& cavity, const std::string& signal, const std::string& term,
        PinClass pin_class = PinClass::unknown) {
  Pin made;
  made.at = {"C1", cavity};
  made.signal = signal;
  made.term = term;
  made.pin_class = pin_class;
  return made;
}

const TagFinding* find(const std::vector<TagFinding>& findings, const std::string& what) {
  const auto found = std::find_if(findings.begin(), findings.end(),
                                  [&](const TagFinding& finding) { return finding.what == what; });
  return found == findings.end() ? nullptr : &*found;
}

// Years and market, and what they imply. Sources, as data/obd_dates.csv has them:
//   US federal and California, petrol 1996, diesel 1997: on-board diagnostics chapter of a maker's service
//   data (looked up) US phase-in 1994: National Academies report 12258, p. 111 (looked up) EU petrol M1, new
//   types 2000, all 2001; last class (diesel N1 II, III) 2006: Directive 98/69/EC (from memory)
struct DutyRow {
  const char* market;
  const char* years;
  ObdDuty duty;
};
constexpr DutyRow duties[] = {
    {"US", "1990-1993", ObdDuty::not_expected},
    {"US", "1994", ObdDuty::possible},
    {"US", "1994-1999", ObdDuty::possible},
    {"US", "1996", ObdDuty::required_by_fuel},
    {"US", "1997", ObdDuty::required},
    {"California", "1993", ObdDuty::not_expected},
    {"US-CA California", "1996", ObdDuty::required_by_fuel},
    {"California", "2003-", ObdDuty::required},
    {"EU", "1999", ObdDuty::not_expected},
    {"EU", "2000", ObdDuty::possible},
    {"EU", "2001", ObdDuty::required_by_fuel},
    {"UK", "2006", ObdDuty::required},
    {"JP", "2006", ObdDuty::not_known},
    {"US/EU", "2006", ObdDuty::not_known},
    {"", "2006", ObdDuty::not_known},
    {"US", "", ObdDuty::not_known},
};

TEST(ObdDates, YearsAndMarketImplyTheDuty) {
  for (const DutyRow& row : duties) {
    const ObdImplied implied = implied_by(row.market, row.years);
    EXPECT_EQ(implied.duty, row.duty) << row.market << " " << row.years;
    EXPECT_EQ(implied.source.empty(), row.duty == ObdDuty::not_known);
  }
}

TEST(ObdDates, ComeWithSourceStatusAndDisagreement) {
  const ObdImplied us = implied_by("US", "1998");
  EXPECT_THAT(us.source, HasSubstr("(looked up)"));
  EXPECT_THAT(us.reason, HasSubstr("1997"));
  EXPECT_THAT(us.reason, HasSubstr("One source says 1998 instead"));
  EXPECT_THAT(implied_by("EU", "2008").source, HasSubstr("from memory"));
  for (const ObdDate& date : obd_dates()) {
    EXPECT_FALSE(date.source.empty());
    EXPECT_TRUE(date.status == "looked up" || date.status == "from memory") << date.status;
    EXPECT_GE(date.year, 1990);
  }
}

TEST(Years, CommonNotationsAreRead) {
  EXPECT_EQ(read_years("1998-2001"), (YearRange{1998, 2001}));
  EXPECT_EQ(read_years("MY1998"), (YearRange{1998, 1998}));
  EXPECT_EQ(read_years("98-01"), (YearRange{1998, 2001}));
  EXPECT_EQ(read_years("1998/99"), (YearRange{1998, 1999}));
  EXPECT_EQ(read_years("1999-02"), (YearRange{1999, 2002}));
  EXPECT_EQ(read_years("05/1998 to 07/2001"), (YearRange{1998, 2001}));
  EXPECT_EQ(read_years("1998-05/2001"), (YearRange{1998, 2001}));
  EXPECT_EQ(read_years("2003-"), (YearRange{2003, 9999}));
  EXPECT_EQ(read_years("2001 to 1998"), (YearRange{1998, 2001}));
  EXPECT_EQ(read_years("unknown"), std::nullopt);
  EXPECT_EQ(read_years("123456789012345678901234567890"), std::nullopt);
}

TEST(Tags, EqualTagsGiveNoFinding) {
  const Module found = module_with(tags("OBD-II", "1999-2002", "EU"));
  const Module donor = module_with(tags("obd 2", "2001-2004", "eu"));
  // OBD-II in 1999 to 2002 in the EU is possible, so the dates give no finding either.
  EXPECT_THAT(compare_tags(found, donor, {}, {}), testing::IsEmpty());
}

TEST(Tags, AnOlderDonorStopsWhereTheLawRequiresTheNewer) {
  const Module found = module_with(tags("OBD-II", "1998", "US"));
  const Module donor = module_with(tags("OBD-I", "1993", "US"));
  const auto findings = compare_tags(found, donor, {}, {});
  ASSERT_FALSE(findings.empty());
  EXPECT_EQ(findings[0].what, "diagnostics");
  EXPECT_EQ(findings[0].weight, TagWeight::stop);
  EXPECT_THAT(findings[0].reason, HasSubstr("US federal, diesel"));
  EXPECT_THAT(findings[0].source, HasSubstr("looked up"));
  const TagFinding* years = find(findings, "years");
  ASSERT_NE(years, nullptr);
  EXPECT_THAT(years->reason, HasSubstr("5 years apart"));

  // The other way round, and where no date applies, it is for a person to weigh.
  const auto newer = compare_tags(donor, found, {}, {});
  EXPECT_EQ(find(newer, "diagnostics")->weight, TagWeight::attention);
  const Module elsewhere = module_with(tags("OBD-II", "1998", "JP"));
  const Module older = module_with(tags("OBD-I", "1998", "JP"));
  const auto no_dates = compare_tags(elsewhere, older, {}, {});
  EXPECT_EQ(find(no_dates, "diagnostics")->weight, TagWeight::attention);
  EXPECT_TRUE(find(no_dates, "diagnostics")->source.empty());
}

TEST(Tags, AStatementAgainstTheDatesIsReported) {
  const Module found = module_with(tags("OBD-II", "1992", "US"));
  const auto findings = compare_tags(found, found, {}, {});
  ASSERT_EQ(findings.size(), 2U) << "once for each module";
  EXPECT_THAT(findings[0].reason, HasSubstr("one of the three is wrong"));
  EXPECT_THAT(findings[0].source, HasSubstr("National Academies"));
}

TEST(Tags, MissingTagsGiveANoteWhereToLook) {
  const auto findings = compare_tags({}, {}, {}, {});
  ASSERT_EQ(findings.size(), 6U);
  for (const TagFinding& finding : findings) {
    EXPECT_EQ(finding.weight, TagWeight::note) << finding.what;
    EXPECT_EQ(finding.found, "not stated");
    EXPECT_THAT(finding.reason, HasSubstr("not stated: look at")) << finding.what;
  }
}

TEST(Tags, TagsOfTheVehicleStandInForTheModuleFound) {
  Vehicle vehicle;
  vehicle.years = "1992";
  vehicle.market = "US";
  vehicle.transmission = "automatic";
  vehicle.diagnostics = "OBD-I";
  const auto findings = compare_tags({}, module_with(tags("OBD-II", "1998", "EU")), vehicle, {});
  EXPECT_EQ(find(findings, "market")->found, "US");
  EXPECT_EQ(find(findings, "transmission")->found, "automatic");
  EXPECT_EQ(find(findings, "years")->weight, TagWeight::attention);
}

TEST(Tags, AManualDonorInAnAutomaticVehicleNamesTheCircuits) {
  Module found = module_with(tags("OBD-II", "1998", "US", "automatic"));
  found.pins = {pin("1", "Shift solenoid A", "SS"), pin("2", "Park/neutral switch", "PNP"),
                pin("3", "Coolant temperature", "ECT"), pin("4", "Gearbox data line", "")};
  Module donor = module_with(tags("OBD-II", "1998", "US", "manual"));
  donor.pins = {pin("1", "Neutral switch", "PNP"), pin("3", "ECT", "ECT")};
  const auto findings = compare_tags(found, donor, {}, {});
  const TagFinding* gearbox = find(findings, "transmission");
  ASSERT_NE(gearbox, nullptr);
  EXPECT_EQ(gearbox->weight, TagWeight::stop);
  EXPECT_THAT(gearbox->reason,
              HasSubstr("Circuits concerned: Shift solenoid A, Park/neutral switch, Gearbox data line."));
  EXPECT_THAT(gearbox->reason, HasSubstr("does not have: Shift solenoid A, Gearbox data line."));

  const auto other_way = compare_tags(donor, found, {}, {});
  EXPECT_EQ(find(other_way, "transmission")->weight, TagWeight::attention);
  EXPECT_THAT(find(other_way, "transmission")->reason, HasSubstr("Shift solenoid A"));
}

TEST(Tags, TheBoardCountsNotTheLabel) {
  Module found = module_with(tags("OBD-II", "1998", "US"));
  Module donor = found;
  donor.tags.board = "B-230";
  EXPECT_THAT(find(compare_tags(found, donor, {}, {}), "board")->reason,
              HasSubstr("The case labels say the same"));
  donor.name = "another label";
  EXPECT_THAT(find(compare_tags(found, donor, {}, {}), "board")->reason, HasSubstr("Another board"));
  donor.tags.board = found.tags.board;
  donor.tags.generation = "G3";
  const auto findings = compare_tags(found, donor, {}, {});
  EXPECT_EQ(find(findings, "generation")->weight, TagWeight::attention);
  EXPECT_EQ(find(findings, "board")->weight, TagWeight::note);
}

TEST(Tags, SharedCircuitsNameTheOtherController) {
  Module found = module_with(tags("OBD-II", "1998", "US"));
  found.pins = {pin("6", "Engine speed out", "TACH OUT"), pin("7", "Throttle signal", "TP")};
  Module donor = found;
  donor.pins = {pin("9", "TP sensor", "TP")};
  const std::vector<SharedCircuit> shared{{"engine speed out", "gearbox controller"},
                                          {"TP", "gearbox controller"}};
  const auto findings = compare_tags(found, donor, {}, shared);
  ASSERT_EQ(findings.size(), 2U);
  EXPECT_EQ(findings[0].weight, TagWeight::attention);
  EXPECT_EQ(findings[0].found, "Engine speed out");
  EXPECT_THAT(findings[0].reason, HasSubstr("gearbox controller uses this circuit too"));
  EXPECT_EQ(findings[1].weight, TagWeight::note);
  EXPECT_EQ(findings[1].donor, "TP sensor");
  donor.pins.clear();
  EXPECT_TRUE(compare_tags(found, donor, {}, shared).empty())
      << "a library entry without pins gives no finding";
}

TEST(Tags, OneSharedCircuitIsReportedOnceWithAllItsUsers) {
  Module found = module_with(tags("OBD-II", "1998", "US"));
  found.pins = {pin("6", "Engine speed out", "RPM")};
  Module donor = found;
  donor.pins = {pin("9", "RPM OUT", "RPM")};
  const auto findings = compare_tags(found, donor, {},
                                     {{"Engine speed out", "gearbox controller"},
                                      {"RPM OUT", "cluster"},
                                      {"RPM OUT", "gearbox controller"}});
  ASSERT_EQ(findings.size(), 1U);
  EXPECT_THAT(findings[0].reason, HasSubstr("gearbox controller, cluster use this circuit too"));
}

TEST(Tags, FindingsOfAnyTextAreSortedBySeriousness) {
  const bool held = rc::check("no crash, sorted, same twice", [](const std::string& a, const std::string& b) {
    const Module found = module_with({a, b, a, b, a, b});
    const Module donor = module_with({b, a, b, a, b, a});
    const auto findings = compare_tags(found, donor, {}, {});
    RC_ASSERT(std::is_sorted(findings.begin(), findings.end(),
                             [](const TagFinding& x, const TagFinding& y) { return x.weight > y.weight; }));
    RC_ASSERT(findings == compare_tags(found, donor, {}, {}));
  });
  EXPECT_TRUE(held);
}

}  // namespace
}  // namespace loomgraft::compare_tags_test
