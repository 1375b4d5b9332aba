#include "hazards/open_hazards.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <sstream>

#include "loom/graft_json.h"

namespace loomgraft {
namespace {

Graft demo() {
  std::ifstream file(LOOMGRAFT_ROOT "/examples/power-takeoff/graft.json");
  std::stringstream text;
  text << file.rdbuf();
  return graft_from_json(text.str(), "graft.json").graft.value();
}

bool has(const std::vector<OpenHazard>& open, HazardSource source, const std::string& start) {
  return std::ranges::any_of(
      open, [&](const OpenHazard& one) { return one.source == source && one.id.starts_with(start); });
}

TEST(OpenHazards, AWireThatThePlanTakesOutIsNoHazardAnyMore) {
  Graft graft = demo();
  EXPECT_FALSE(has(open_hazards(graft), HazardSource::comparison, "C3-1 "));
  std::erase_if(graft.plan, [](const PlanStep& step) { return step.wire == "w_c3_1"; });
  EXPECT_TRUE(has(open_hazards(graft), HazardSource::comparison, "C3-1 "));
}

TEST(OpenHazards, NameEachCircuitWhoseDesignFails) {
  const auto open = open_hazards(demo());
  EXPECT_TRUE(has(open, HazardSource::design, "Y20"));
  EXPECT_EQ(std::ranges::count(open, HazardSource::design, &OpenHazard::source), 4);
}

TEST(OpenHazards, AnEmptyDocumentLeavesNothingOpen) {
  EXPECT_TRUE(open_hazards(Graft{}).empty());
}

}  // namespace
}  // namespace loomgraft
