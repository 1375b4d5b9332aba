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

// Both clocks alike.
Moment at(std::int64_t seconds) {
  return {seconds, seconds};
}

TEST(Pairing, ATokenWorksOnceAndForFiveMinutes) {
  Pairing pairing;
  const Token token = pairing.new_token(at(1000));
  EXPECT_EQ(token.expires, 1300);
  const std::string cookie = pairing.exchange(token.text, "a", "phone", at(1299)).cookie;
  EXPECT_EQ(cookie.size(), 64U);
  EXPECT_TRUE(pairing.exchange(token.text, "a", "phone", at(1299)).cookie.empty());
  EXPECT_TRUE(pairing.exchange(pairing.new_token(at(1000)).text, "b", "phone", at(1300)).cookie.empty());
  const auto session = pairing.find({"wrong", cookie}, at(1300));
  ASSERT_TRUE(session);
  EXPECT_EQ(session->device, "phone 1");
  EXPECT_FALSE(pairing.find({"wrong", ""}, at(1300)));
}

TEST(Pairing, ATokenMayBeTypedAsItIsRead) {
  Pairing pairing;
  std::string typed = pairing.new_token(at(0)).text;
  for (char& c : typed) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  typed.insert(4, "-").insert(9, " ");
  EXPECT_FALSE(pairing.exchange(typed, "a", "phone", at(1)).cookie.empty());
}

TEST(Pairing, WrongTokensMakeAnAddressWaitLongerEachTime) {
  Pairing pairing;
  std::int64_t now = 0;
  std::vector<std::int64_t> waits;
  for (int round = 0; round < 6; ++round) {
    for (int i = 0; i < bad_tokens_a_minute; ++i)
      EXPECT_EQ(pairing.exchange("wrong", "a", "phone", at(now)).wait, 0) << i;
    waits.push_back(pairing.exchange("wrong", "a", "phone", at(now)).wait);
    now += waits.back();
  }
  EXPECT_EQ(waits, (std::vector<std::int64_t>{60, 120, 240, 480, 900, 900}));
  // A right token does not help who must wait; another address is not hurt.
  for (int i = 0; i < bad_tokens_a_minute; ++i) pairing.exchange("wrong", "a", "phone", at(now));
  const Token token = pairing.new_token(at(now));
  EXPECT_TRUE(pairing.exchange(token.text, "a", "phone", at(now)).cookie.empty());
  EXPECT_FALSE(pairing.exchange(token.text, "b", "phone", at(now)).cookie.empty());
}

TEST(Pairing, SessionsOutliveTheProgramAsHashesOnly) {
  const ScratchFolder folder;
  std::string cookie;
  {
    Pairing pairing(folder / "devices");
    cookie = pairing.exchange(pairing.new_token(at(0)).text, "a", "phone", at(0)).cookie;
  }
  EXPECT_EQ(bytes_of(folder / "devices").find(cookie), std::string::npos);
  Pairing again(folder / "devices");
  EXPECT_TRUE(again.find({cookie}, at(10)));
  EXPECT_FALSE(again.find({cookie}, at(10 + session_seconds + 1)));
  write_bytes(folder / "broken", R"({"paired": 1, "devices": [1, {"cookie_sha256": 3}, {"device": "x"}]})");
  EXPECT_FALSE(Pairing(folder / "broken").find({cookie}, at(10)));
}

TEST(Pairing, ASessionEndsHoweverMuchItIsUsed) {
  Pairing pairing;
  const std::string cookie = pairing.exchange(pairing.new_token(at(0)).text, "a", "phone", at(0)).cookie;
  std::int64_t now = 0;
  for (; now < longest_session_seconds; now += session_seconds / 2)
    EXPECT_TRUE(pairing.find({cookie}, at(now))) << now;
  EXPECT_FALSE(pairing.find({cookie}, at(longest_session_seconds + 1)));
}

TEST(Pairing, AWrongWallClockUnpairsNobodyAndBlocksNobody) {
  const ScratchFolder folder;
  std::string cookie;
  {
    Pairing pairing(folder / "devices", {100, 1'000'000});
    cookie = pairing.exchange(pairing.new_token({100, 0}).text, "a", "phone", {101, 4'000'000'000}).cookie;
    for (int i = 0; i <= bad_tokens_a_minute; ++i)
      pairing.exchange("wrong", "b", "phone", {200, 4'000'000'000});
    EXPECT_TRUE(pairing.find({cookie}, {110, 0}));
    const Token token = pairing.new_token({300, 0});
    EXPECT_FALSE(pairing.exchange(token.text, "b", "phone", {300, 0}).cookie.empty());
  }
  // Started again, the steady clock begins anew.
  Pairing again(folder / "devices", {5, 0});
  EXPECT_TRUE(again.find({cookie}, {6, 9'000'000'000}));
}

TEST(Pairing, DevicesAreListedAndRemoved) {
  Pairing pairing;
  const std::string first = pairing.exchange(pairing.new_token(at(0)).text, "a", "phone", at(10)).cookie;
  const std::string second = pairing.exchange(pairing.new_token(at(0)).text, "a", "computer", at(20)).cookie;
  ASSERT_EQ(pairing.sessions(at(30)).size(), 2U);
  EXPECT_EQ(pairing.sessions(at(30))[0].device, "phone 1");
  EXPECT_EQ(pairing.sessions(at(30))[1].device, "computer 2");
  EXPECT_TRUE(pairing.remove("d1", at(31)));
  EXPECT_FALSE(pairing.remove("d1", at(31)));
  EXPECT_FALSE(pairing.find({first}, at(32)));
  EXPECT_TRUE(pairing.find({second}, at(32)));
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
