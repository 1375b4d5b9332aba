#include "text/fold.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>

namespace loomgraft {
namespace {

TEST(Fold, DropsCaseAndAccents) {
  EXPECT_EQ(folded_together("Zündpille"), "zundpille");
  EXPECT_EQ(folded_together("PRÉTENSIONNEUR"), "pretensionneur");
  EXPECT_EQ(folded_together("předepínač"), "predepinac");
  EXPECT_EQ(folded_together("Überrollbügel, links"), "uberrollbugellinks");
  EXPECT_EQ(folded_together("łączka ÿ Ž"), "laczkayz");
}

TEST(Fold, TellsWordsAndCapitals) {
  const auto words = folded_words("SRS-lamp_ÄÖ 2");
  ASSERT_EQ(words.size(), 4u);
  EXPECT_TRUE(words[0].capitals);
  EXPECT_FALSE(words[1].capitals);
  EXPECT_TRUE(words[2].capitals);
  EXPECT_FALSE(words[3].capitals);
}

RC_GTEST_PROP(Fold, NeverFailsAndIsDoneOnce, (const std::string& text)) {
  const std::string once = folded_together(text);
  RC_ASSERT(folded_together(once) == once);
  RC_ASSERT(std::ranges::none_of(once, [](char c) { return c >= 'A' && c <= 'Z'; }));
}

}  // namespace
}  // namespace loomgraft
