#include "text/unseen.h"

#include <gtest/gtest.h>

namespace loomgraft::unseen_test {
namespace {

TEST(Unseen, ControlCodesBecomeBlanksAndMarksGo) {
  EXPECT_EQ(without_unseen_characters(std::string("a\0b\x7f", 4)), "a b ");
  EXPECT_EQ(without_unseen_characters("\xEF\xBB\xBFpin\xE2\x80\xAE 1\xE2\x81\xA9"), "pin 1");
  EXPECT_EQ(without_unseen_characters("x\xC2\x85y"), "x y");
}

TEST(Unseen, OtherTextStays) {
  for (const char* text :
       {"a\tb\r\nc", "\xC2\xA0", "\xE2\x80\x8F\xD7\x90", "\xE2\x80\x93 \xE2\x84\xA6 \xC3\xA9", ""}) {
    EXPECT_FALSE(has_unseen_characters(text)) << text;
    EXPECT_EQ(without_unseen_characters(text), text);
  }
  EXPECT_TRUE(has_unseen_characters("\x1B[31m"));
}

}  // namespace
}  // namespace loomgraft::unseen_test
