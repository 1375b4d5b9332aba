// Where a head ends, whatever pieces it comes in.
#include "http/request_head.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace loomgraft::request_head_test {
namespace {

constexpr std::string_view head = "GET /a?b=c HTTP/1.1\r\nHost: x:1\r\nX-Empty:\r\nX-Tab: a\tb\r\n\r\n";

TEST(RequestHead, EndsBehindTheEmptyLine) {
  const std::string pipelined = std::string(head) + "GET / HTTP/1.1\r\n\r\n";
  EXPECT_EQ(head_size(pipelined), head.size());
  EXPECT_EQ(head_size("\r\n" + std::string(head)), head.size() + 2) << "an empty line before it is let pass";
  EXPECT_EQ(head_size("GET / HTTP/1.1\n\n"), 16U);
  for (std::size_t size = 0; size < head.size(); ++size)
    EXPECT_EQ(head_size(head.substr(0, size)), 0U) << size;
}

TEST(RequestHead, WellFormed) {
  EXPECT_TRUE(is_well_formed_head(head));
  for (const char* broken :
       {"GET /\r\n\r\n", "GET / HTTP/2.0\r\n\r\n", "GET  HTTP/1.1\r\n\r\n", "G ET / HTTP/1.1\r\n\r\n",
        "GET / HTTP/1.1x\r\n\r\n", "GET / HTTP/1.1\r\n: x\r\n\r\n", "GET / HTTP/1.1\r\nA B: x\r\n\r\n",
        "GET / HTTP/1.1\r\nA\x7F: x\r\n\r\n", "\r\n\r\n"})
    EXPECT_FALSE(is_well_formed_head(broken)) << broken;
}

RC_GTEST_PROP(RequestHead, MoreBytesDoNotMoveItsEnd, ()) {
  const auto letters = *rc::gen::container<std::string>(rc::gen::elementOf(std::string("\r\n\r\nab: ")));
  std::size_t found = 0;
  for (std::size_t size = 0; size <= letters.size(); ++size) {
    const std::size_t now = head_size(std::string_view(letters).substr(0, size));
    if (found > 0) RC_ASSERT(now == found);
    found = now;
    RC_ASSERT(found <= size);
  }
}

}  // namespace
}  // namespace loomgraft::request_head_test
