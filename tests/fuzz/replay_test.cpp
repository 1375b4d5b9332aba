// Every saved input of fuzz/corpus through the body of its fuzz target: what once broke stays mended, without
// clang and in every build. A body that finds its promise broken aborts, and with it this program.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <string>
#include <vector>

using Body = int (*)(const std::uint8_t* data, std::size_t size);

// One line FUZZ_TARGET(name) for each fuzz/name.cpp, written when the build is configured.
#define FUZZ_TARGET(name) extern "C" int fuzz_##name(const std::uint8_t* data, std::size_t size);
#include "fuzz_targets.inc"
#undef FUZZ_TARGET

namespace {

const std::map<std::string, Body>& bodies() {
  static const std::map<std::string, Body> all{
#define FUZZ_TARGET(name) {#name, fuzz_##name},
#include "fuzz_targets.inc"
#undef FUZZ_TARGET
  };
  return all;
}

std::vector<std::filesystem::path> inputs_of(const std::string& target) {
  std::vector<std::filesystem::path> files;
  const std::filesystem::path folder = std::filesystem::path(LOOMGRAFT_ROOT) / "fuzz" / "corpus" / target;
  if (!std::filesystem::exists(folder)) return files;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  return files;
}

class Replay : public ::testing::TestWithParam<std::string> {};

TEST_P(Replay, EverySavedInput) {
  const Body body = bodies().at(GetParam());
  const auto files = inputs_of(GetParam());
  EXPECT_GE(files.size(), 4U) << "a fuzz target begins with a handful of inputs that mean something";
  for (const auto& path : files) {
    std::ifstream file(path, std::ios::binary);
    const std::string bytes((std::istreambuf_iterator<char>(file)), {});
    SCOPED_TRACE(path.filename().string());
    EXPECT_EQ(body(reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size()), 0);
    // A file cut off anywhere is what an interrupted download leaves.
    for (const std::size_t part : {bytes.size() / 2, bytes.size() - std::min<std::size_t>(bytes.size(), 1)})
      EXPECT_EQ(body(reinterpret_cast<const std::uint8_t*>(bytes.data()), part), 0);
  }
}

std::vector<std::string> names() {
  std::vector<std::string> list;
  for (const auto& [name, body] : bodies()) list.push_back(name);
  return list;
}

INSTANTIATE_TEST_SUITE_P(Fuzz, Replay, ::testing::ValuesIn(names()),
                         [](const auto& info) { return info.param; });

TEST(Corpus, EveryFolderHasItsTarget) {
  for (const auto& entry : std::filesystem::directory_iterator(LOOMGRAFT_ROOT "/fuzz/corpus"))
    EXPECT_EQ(bodies().count(entry.path().filename().string()), 1U) << entry.path();
}

}  // namespace
