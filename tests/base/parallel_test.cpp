#include "base/parallel.h"

#include <gtest/gtest.h>

#include <atomic>
#include <stdexcept>
#include <thread>
#include <vector>

namespace loomgraft::base_parallel_test {
namespace {

TEST(SideBySide, DoesEachPieceOnce) {
  for (const std::size_t count : {0U, 1U, 2U, 7U, 1000U}) {
    std::vector<std::atomic<int>> done(count);
    parallel_for(count, [&](std::size_t k) { ++done[k]; });
    for (const auto& times : done) EXPECT_EQ(times, 1) << count;
  }
}

TEST(SideBySide, WorkMayAskForMoreOfItsKind) {
  std::atomic<int> done{0};
  parallel_for(5, [&](std::size_t) {
    parallel_for(5, [&](std::size_t) { parallel_for(5, [&](std::size_t) { ++done; }); });
  });
  EXPECT_EQ(done, 125);
}

TEST(SideBySide, SeveralMayAskAtOnce) {
  std::atomic<int> done{0};
  std::vector<std::thread> callers;
  for (int caller = 0; caller < 4; ++caller) {
    callers.emplace_back([&] {
      for (int round = 0; round < 50; ++round) parallel_for(3, [&](std::size_t) { ++done; });
    });
  }
  for (std::thread& caller : callers) caller.join();
  EXPECT_EQ(done, 600);
}

TEST(SideBySide, AnExceptionReachesWhoAskedAndNobodyElse) {
  std::atomic<int> begun{0};
  const auto fail = [&](std::size_t k) {
    ++begun;
    if (k == 3) throw std::runtime_error("three");
  };
  EXPECT_THROW(parallel_for(100, fail), std::runtime_error);
  EXPECT_GE(begun, 4);
  std::atomic<int> done{0};
  parallel_for(10, [&](std::size_t) { ++done; });
  EXPECT_EQ(done, 10);
}

}  // namespace
}  // namespace loomgraft::base_parallel_test
