// Independent pieces of work on all cores.
//
// Needs   work(k) that touches nothing of another k
// Gives   work(0) ... work(count - 1), each done once, in any order; all done on return
// Fails   with the first exception met, once the others have ended
#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <future>
#include <thread>
#include <vector>

namespace loomgraft {

template <class Work>
void side_by_side(std::size_t count, const Work& work) {
  const std::size_t cores = std::max<std::size_t>(1, std::thread::hardware_concurrency());
  std::atomic<std::size_t> next{0};
  const auto take = [&] {
    for (std::size_t k = next++; k < count; k = next++) work(k);
  };
  std::vector<std::future<void>> others;
  for (std::size_t core = 1; core < std::min(cores, count); ++core)
    others.push_back(std::async(std::launch::async, take));
  take();
  for (std::future<void>& other : others) other.get();
}

}  // namespace loomgraft
