#include "store/document_merge.h"

#include <gtest/gtest.h>

#include "store/document_patch.h"
#include "store/sha256.h"

namespace loomgraft::store_document_merge_test {
namespace {

using namespace loomgraft::store;

using Json = nlohmann::json;

struct Case {
  const char* what;
  const char* base;
  const char* mine;
  const char* theirs;
  const char* merged;  // or, where they collide, the pointers
};

// Documents in one line each. Where `merged` begins with a slash it lists the places that collide.
const Case cases[] = {
    {"different members", R"({"a":1,"b":1})", R"({"a":2,"b":1})", R"({"a":1,"b":2})", R"({"a":2,"b":2})"},
    {"one member alike", R"({"a":1})", R"({"a":2})", R"({"a":2})", R"({"a":2})"},
    {"one member, two ends", R"({"a":1})", R"({"a":2})", R"({"a":3})", "/a"},
    {"taken out and changed", R"({"a":1})", R"({})", R"({"a":3})", "/a"},
    {"both take it out", R"({"a":1})", R"({})", R"({})", R"({})"},
    {"both begin one list", R"({})", R"({"w":[{"id":"x"}]})", R"({"w":[{"id":"y"}]})",
     R"({"w":[{"id":"x"},{"id":"y"}]})"},
    {"an insertion before an edited item", R"({"w":[{"id":"x","n":1}]})", R"({"w":[{"id":"x","n":2}]})",
     R"({"w":[{"id":"a"},{"id":"x","n":1}]})", R"({"w":[{"id":"a"},{"id":"x","n":2}]})"},
    {"one new id for two things", R"({"w":[]})", R"({"w":[{"id":"x","n":1}]})", R"({"w":[{"id":"x","n":2}]})",
     "/w/0"},
    {"removed and edited", R"({"w":[{"id":"v"},{"id":"x","n":1}]})", R"({"w":[{"id":"v"},{"id":"x","n":2}]})",
     R"({"w":[{"id":"v"}]})", "/w/1"},
    {"one reorders, one edits", R"({"w":[{"id":"x"},{"id":"y"}]})", R"({"w":[{"id":"y"},{"id":"x"}]})",
     R"({"w":[{"id":"x"},{"id":"y","n":1}]})", R"({"w":[{"id":"y","n":1},{"id":"x"}]})"},
    {"both reorder", R"({"w":[{"id":"x"},{"id":"y"},{"id":"z"}]})",
     R"({"w":[{"id":"y"},{"id":"x"},{"id":"z"}]})", R"({"w":[{"id":"x"},{"id":"z"},{"id":"y"}]})", "/w"},
    {"pins by cavity", R"({"p":[{"connector":"A","cavity":"1"},{"connector":"A","cavity":"2"}]})",
     R"({"p":[{"connector":"A","cavity":"2","s":"q"}]})",
     R"({"p":[{"connector":"A","cavity":"1"},{"connector":"A","cavity":"2"},{"connector":"A","cavity":"3"}]})",
     R"({"p":[{"connector":"A","cavity":"2","s":"q"},{"connector":"A","cavity":"3"}]})"},
    {"records appended by both", R"({"s":[{"w":"1"}]})", R"({"s":[{"w":"1"},{"w":"2"}]})",
     R"({"s":[{"w":"1"},{"w":"3"}]})", R"({"s":[{"w":"1"},{"w":"3"},{"w":"2"}]})"},
    {"words appended by both", R"({"along":["a"]})", R"({"along":["a","b"]})", R"({"along":["a","c"]})",
     "/along"},
    {"records of one length, place by place", R"({"s":[{"w":"1"},{"w":"1"}]})",
     R"({"s":[{"w":"2"},{"w":"1"}]})", R"({"s":[{"w":"1"},{"w":"3"}]})", R"({"s":[{"w":"2"},{"w":"3"}]})"},
    {"of another kind", R"({"a":1})", R"({"a":[1]})", R"({"a":{"b":1}})", "/a"},
};

TEST(DocumentMerge, Cases) {
  for (const Case& c : cases) {
    const Merged merged = merge_documents(Json::parse(c.base), Json::parse(c.mine), Json::parse(c.theirs));
    std::string pointers;
    for (const Conflict& conflict : merged.conflicts) pointers += conflict.pointer;
    if (c.merged[0] == '/') {
      EXPECT_EQ(pointers, c.merged) << c.what;
    } else {
      EXPECT_EQ(pointers, "") << c.what;
      EXPECT_EQ(merged.document, Json::parse(c.merged)) << c.what;
    }
  }
}

TEST(DocumentPatch, TakingOneItemOutIsOneOperation) {
  Json from = {{"wires", Json::array()}};
  for (int i = 0; i < 2000; ++i) from["wires"].push_back({{"id", "w" + std::to_string(i)}, {"n", i}});
  Json to = from;
  to["wires"].erase(7);
  to["wires"][500]["n"] = -1;
  const Json patch = patch_between(from, to);
  EXPECT_EQ(patch, Json::parse(R"([{"op":"remove","path":"/wires/7"},
                                   {"op":"replace","path":"/wires/500/n","value":-1}])"));
}

// FIPS 180-4 has no examples; these are from NIST's "Secure Hashing" example file for SHA-256
// (one block, two blocks), from memory, and the empty message, which every implementation agrees on.
TEST(Sha256, PublishedExamples) {
  EXPECT_EQ(sha256_hex("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  EXPECT_EQ(sha256_hex(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  EXPECT_EQ(sha256_hex(std::string(1'000'000, 'a')),
            "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

}  // namespace
}  // namespace loomgraft::store_document_merge_test
