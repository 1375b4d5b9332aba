// Tokens, sessions, and who must wait.
#include "serve/pairing.h"

#include <gtest/gtest.h>

#include <set>

#include "http/base64.h"
#include "serve/secret.h"
#include "tests/store/scratch_folder.h"

namespace loomgraft::serve_pairing_test {
namespace {

using namespace loomgraft::serve;

TEST(Pairing, ATokenWorksOnceAndForFiveMinutes) {
  Pairing pairing;
  const Token token = pairing.new_token(1000);
  EXPECT_EQ(token.expires, 1300);
  const std::string cookie = pairing.exchange(token.text, "a", 1299).cookie;
  EXPECT_EQ(cookie.size(), 64U);
  EXPECT_TRUE(pairing.exchange(token.text, "a", 1299).cookie.empty());
  EXPECT_TRUE(pairing.exchange(pairing.new_token(1000).text, "b", 1300).cookie.empty());
  EXPECT_EQ(pairing.find({"wrong", cookie}, 1300), "device 1");
  EXPECT_FALSE(pairing.find({"wrong", ""}, 1300));
}

TEST(Pairing, ATokenMayBeTypedAsItIsRead) {
  Pairing pairing;
  std::string typed = pairing.new_token(0).text;
  for (char& c : typed) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  typed.insert(4, "-").insert(9, " ");
  EXPECT_FALSE(pairing.exchange(typed, "a", 1).cookie.empty());
}

TEST(Pairing, WrongTokensMakeAnAddressWaitLongerEachTime) {
  Pairing pairing;
  std::int64_t now = 0;
  std::vector<std::int64_t> waits;
  for (int round = 0; round < 6; ++round) {
    for (int i = 0; i < bad_tokens_a_minute; ++i) EXPECT_EQ(pairing.exchange("wrong", "a", now).wait, 0) << i;
    waits.push_back(pairing.exchange("wrong", "a", now).wait);
    now += waits.back();
  }
  EXPECT_EQ(waits, (std::vector<std::int64_t>{60, 120, 240, 480, 900, 900}));
  // A right token does not help who must wait; another address is not hurt.
  for (int i = 0; i < bad_tokens_a_minute; ++i) pairing.exchange("wrong", "a", now);
  const Token token = pairing.new_token(now);
  EXPECT_TRUE(pairing.exchange(token.text, "a", now).cookie.empty());
  EXPECT_FALSE(pairing.exchange(token.text, "b", now).cookie.empty());
}

TEST(Pairing, SessionsOutliveTheProgramAsHashesOnly) {
  const ScratchFolder folder;
  std::string cookie;
  {
    Pairing pairing(folder / "devices");
    cookie = pairing.exchange(pairing.new_token(0).text, "a", 0).cookie;
  }
  EXPECT_EQ(bytes_of(folder / "devices").find(cookie), std::string::npos);
  Pairing again(folder / "devices");
  EXPECT_TRUE(again.find({cookie}, 10));
  EXPECT_FALSE(again.find({cookie}, 10 + session_seconds + 1));
  write_bytes(folder / "broken", R"([1, {"cookie_sha256": 3}, {"device": "x"}])");
  EXPECT_FALSE(Pairing(folder / "broken").find({cookie}, 10));
}

TEST(Secret, HasItsBitsAndNoTwoAlike) {
  std::set<std::string> seen;
  for (int i = 0; i < 1000; ++i) {
    const std::string token = typed_secret(128);
    EXPECT_EQ(token.size(), 26U);  // five bits a letter
    EXPECT_EQ(tidy_secret(token), token);
    EXPECT_TRUE(seen.insert(token).second);
  }
  EXPECT_EQ(hex_secret(256).size(), 64U);
  EXPECT_TRUE(same_secret("abc", "abc"));
  EXPECT_FALSE(same_secret("abc", "abd"));
  EXPECT_FALSE(same_secret("abc", "abcabc"));
  EXPECT_FALSE(same_secret("abc", ""));
  EXPECT_FALSE(same_secret("", "abc"));
}

// RFC 4648, section 10.
TEST(Base64, PublishedVectors) {
  const std::pair<const char*, const char*> vectors[] = {{"", ""},
                                                         {"Zg==", "f"},
                                                         {"Zm8=", "fo"},
                                                         {"Zm9v", "foo"},
                                                         {"Zm9vYg==", "foob"},
                                                         {"Zm9vYmE=", "fooba"},
                                                         {"Zm9vYmFy", "foobar"}};
  for (const auto& [packed, bytes] : vectors) EXPECT_EQ(from_base64(packed), bytes);
  for (const char* broken : {"Z", "Zg", "Zg=", "Zg===", "Zm=v", "Zm9v!", "====", "Zm9v----"})
    EXPECT_FALSE(from_base64(broken)) << broken;
}

}  // namespace
}  // namespace loomgraft::serve_pairing_test
