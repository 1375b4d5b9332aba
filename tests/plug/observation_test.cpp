#include "plug/observation.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include "standards/dictionary.h"

namespace loomgraft::plug_observation_test {
namespace {

ObservationReading read(std::string_view text) {
  return read_observation(text, colour_notations());
}

// "r1c1 YE/BU large; r1c2 empty; ..." as understood, for comparing at a glance.
std::string spelled(const Observation& observation) {
  std::string text;
  for (const ObservedCavity& observed : observation.cavities) {
    if (!text.empty()) text += "; ";
    text += "r" + std::to_string(observed.row) + "c" + std::to_string(observed.column);
    if (observed.colour.known()) {
      text += " ";
      text += observed.colour.base;
      if (!observed.colour.tracer.empty()) text += "/" + observed.colour.tracer;
    }
    if (observed.empty) text += *observed.empty ? " empty" : " wire";
    if (observed.large) text += *observed.large ? " large" : " small";
  }
  return text;
}

struct Wording {
  const char* text;
  const char* meaning;
};

TEST(Observation, UnderstandsCommonWordings) {
  const Wording wordings[] = {
      {"r1c1 YE/BU, r1c2 empty, r2c5 RD large", "r1c1 YE/BU; r1c2 empty; r2c5 RD large"},
      {"1.1=YE/BU 1.2=- 1.3=bk", "r1c1 YE/BU; r1c2 empty; r1c3 BK"},
      {"BK somewhere", "r0c0 BK"},
      {"a yellow/blue and two blacks somewhere", "r0c0 YE/BU; r0c0 BK; r0c0 BK"},
      {"row 2 column 5: red", "r2c5 RD"},
      {"Row 2, red", "r0c0 RD"},
      {"r2 red", "r2c0 RD"},
      {"YE/BU r1c1, GN r1c2", "r1c1 YE/BU; r1c2 GN"},
      {"r1c3 black with white stripe", "r1c3 BK/WH"},
      {"r1c3 light blue / red", "r1c3 BU/RD"},
      {"r1c3 yellow/ blue", "r1c3 YE/BU"},
      {"r1c3 yellow-blue small", "r1c3 YE/BU small"},
      {"r1c3 GNYE", "r1c3 GNYE"},
      {"r1c3 YEBU", "r1c3 YE/BU"},
      {"r1c4 large empty hole", "r1c4 empty large"},
      {"R1C4 wire", "r1c4 wire"},
      {"r1c4 red wire; r1c5 wire red", "r1c4 RD; r1c5 RD"},
      {"2x BN", "r0c0 BN; r0c0 BN"},
      {"r1-c4 (GN)", "r1c4 GN"},
      {"r1c1 YE/-", "r1c1 YE"},
      {"", ""},
  };
  for (const Wording& wording : wordings) {
    EXPECT_EQ(spelled(read(wording.text).observation), wording.meaning) << wording.text;
  }
}

TEST(Observation, CommonWordingsRaiseNoProblem) {
  for (const char* text :
       {"r1c1 YE/BU, r1c2 empty, r2c5 RD large, latch top, from wire side", "1.1=YE/BU 1.2=-",
        "a yellow/blue and two blacks somewhere", "r1c3 black with a white stripe, seen from the mating side",
        "row 2 column 5: red"}) {
    const ObservationReading reading = read(text);
    EXPECT_TRUE(reading.problems.empty()) << text << ": " << reading.problems.front().message;
  }
}

TEST(Observation, ReadsLatchAndSide) {
  const Observation observation = read("r1c1 YE/BU, latch top, from wire side").observation;
  EXPECT_EQ(observation.latch, Side::top);
  EXPECT_EQ(observation.looked_from, View::wire_entry);
  EXPECT_EQ(observation.cavities.size(), 1U);
  EXPECT_EQ(read("the latch is on the left; looking at the mating face").observation.latch, Side::left);
  EXPECT_EQ(read("the latch is on the left; looking at the mating face").observation.looked_from,
            View::mating);
  EXPECT_EQ(read("tab down").observation.latch, Side::bottom);
  EXPECT_EQ(read("wire_entry view").observation.looked_from, View::wire_entry);
  EXPECT_EQ(read("terminal-side").observation.looked_from, View::mating);
  EXPECT_EQ(read("from the back side").observation.looked_from, View::wire_entry);
}

bool has_problem(const ObservationReading& reading, std::string_view code) {
  for (const Problem& problem : reading.problems) {
    if (problem.code == code && !problem.message.empty() && !problem.remedy.empty()) return true;
  }
  return false;
}

TEST(Observation, UnclearPartsAreReportedAndTheRestIsUsed) {
  const ObservationReading reading = read("r1c1 YE/BU, r1c2 xyzzy, r1c3 RD");
  EXPECT_EQ(spelled(reading.observation), "r1c1 YE/BU; r1c3 RD");
  ASSERT_TRUE(has_problem(reading, "observation-unclear"));
  EXPECT_EQ(reading.problems.front().location.column, 13);
  EXPECT_NE(reading.problems.front().remedy.find("r1c1 YE/BU, r1c2 empty"), std::string::npos);

  EXPECT_TRUE(has_problem(read("r0c2 RD, r1c1 BK"), "place-impossible"));
  EXPECT_EQ(spelled(read("r0c2 RD, r1c1 BK").observation), "r1c1 BK");
  EXPECT_TRUE(has_problem(read("r99999999999999999999c2 RD"), "place-impossible"));
  EXPECT_TRUE(has_problem(read("r1c2"), "observation-unclear"));
  EXPECT_TRUE(has_problem(read("latch"), "observation-unclear"));
  EXPECT_TRUE(has_problem(read("r1c1 RD, top"), "observation-unclear"));
  EXPECT_TRUE(has_problem(read("from wire side, from mating side"), "observation-contradicts"));
  EXPECT_TRUE(has_problem(read("r1c1 RD BU"), "observation-unclear"));
  EXPECT_TRUE(has_problem(read("r1c1 RD?"), "observation-unsure"));
  EXPECT_TRUE(has_problem(read("200 blacks"), "observation-unclear"));
}

TEST(Observation, LettersOfAnotherNotationAreReadTogetherAndReported) {
  const ObservationReading reading = read("r1c1 L/W, r1c2 B, r1c3 G/Y, r1c4 BR");
  EXPECT_EQ(spelled(reading.observation), "r1c1 BU/WH; r1c2 BK; r1c3 GN/YE; r1c4 BN");
  EXPECT_TRUE(has_problem(reading, "colour-notation"));
}

TEST(Observation, AnyTextIsRead) {
  EXPECT_TRUE(rc::check([](const std::string& text) {
    const ObservationReading reading = read(text);
    for (const ObservedCavity& observed : reading.observation.cavities) {
      RC_ASSERT(observed.row >= 0 && observed.column >= 0);
      RC_ASSERT(observed.colour.known() || observed.empty.has_value() || observed.large.has_value());
    }
  }));
  EXPECT_TRUE(rc::check([] {
    const auto words = *rc::gen::container<std::vector<std::string>>(
        rc::gen::element<std::string>("r1c1", "r2", "c3", "row", "column", "2", "-", "/", "with", "and", ",",
                                      "latch", "top", "wire", "side", "from", "mating", "YE/BU", "black", "B",
                                      "large", "empty", "somewhere", "=", "r0c0", "two", "?", "YE/"));
    std::string text;
    for (const std::string& word : words) text += word + " ";
    const ObservationReading reading = read(text);
    RC_ASSERT(reading.observation.cavities.size() <= 3 * words.size());
  }));
}

}  // namespace
}  // namespace loomgraft::plug_observation_test
