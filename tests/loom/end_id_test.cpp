#include "loom/end_id.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace loomgraft::loom_end_id_test {
namespace {

TEST(PlaceId, IsThePlugAndTheCavityOrTheWholeDevice) {
  EXPECT_EQ(end_id(WireEnd{"C3", "1"}), "C3:1");
  EXPECT_EQ(end_id(CavityRef{"C3", "1"}), "C3:1");
  EXPECT_EQ(end_id(WireEnd{"valve", ""}), "valve");
  EXPECT_EQ(end_from("valve"), (WireEnd{"valve", ""}));
  EXPECT_EQ(end_from("rack:2:7"), (WireEnd{"rack:2", "7"}));
}

RC_GTEST_PROP(PlaceId, ComesBackAsItWas, (const std::string& at, const std::string& cavity)) {
  RC_PRE(cavity.find(':') == std::string::npos);
  RC_PRE(!cavity.empty() || at.find(':') == std::string::npos);
  const WireEnd end{at, cavity};
  RC_ASSERT(end_from(end_id(end)) == end);
}

}  // namespace
}  // namespace loomgraft::loom_end_id_test
