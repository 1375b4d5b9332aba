#include "base/union_find.h"

#include <gtest/gtest.h>

namespace loomgraft::base_union_find_test {
namespace {

TEST(UnionFind, RootIsTheSmallestMember) {
  UnionFind sets(6);
  sets.join(4, 5);
  sets.join(5, 2);
  sets.join(3, 3);
  EXPECT_EQ(sets.root(4), 2U);
  EXPECT_EQ(sets.root(5), 2U);
  EXPECT_EQ(sets.root(3), 3U);
  EXPECT_EQ(sets.root(0), 0U);
  EXPECT_EQ(sets.add(), 6U);
  sets.join(6, 0);
  EXPECT_EQ(sets.root(6), 0U);
  EXPECT_EQ(sets.size(), 7U);
}

}  // namespace
}  // namespace loomgraft::base_union_find_test
