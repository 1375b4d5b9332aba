// What a graft file costs: readings from eight senders at once, one edit of a large document, opening it. The
// file stands beside the build on a real disk, so that a sync is one.
#include <benchmark/benchmark.h>

#include <atomic>
#include <cstdlib>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <thread>

#include "store/graft_file.h"
#include "store/reading_queue.h"

namespace loomgraft {
namespace {

const Stamp stamp{"bench", "2026-03-01T10:00:00Z", ""};

Graft large_graft(int wires) {
  Graft graft;
  graft.title = "A large loom";
  for (int i = 0; i < wires; ++i) {
    Wire wire;
    wire.id = "w" + std::to_string(i);
    wire.signal = "circuit " + std::to_string(i);
    wire.from = {"plug" + std::to_string(i / 40), std::to_string(i % 40)};
    wire.to = {"device" + std::to_string(i), "1"};
    wire.colour = {"YE", "BU", ""};
    wire.area = square_millimetres(0.75);
    wire.length = millimetres(1000 + i);
    graft.wires.push_back(wire);
  }
  return graft;
}

// Not there at first, and gone at the end.
struct FreshFile {
  FreshFile() { remove(); }
  ~FreshFile() { remove(); }
  FreshFile(const FreshFile&) = delete;
  FreshFile& operator=(const FreshFile&) = delete;
  void remove() const {
    for (const char* part : {"", "-wal", "-shm"}) std::filesystem::remove(path + part);
  }

  const std::string path = (std::filesystem::current_path() / "bench_store.graft").string();
};

template <class T>
T must(Stored<T> result) {
  if (result) return std::move(*result);
  std::fprintf(stderr, "%s\n", result.error().front().message.c_str());
  std::abort();
}

// Each sender waits for its reading to be on the disk before it sends the next, as a phone does.
void readings_from_senders(benchmark::State& state) {
  const FreshFile fresh;
  const std::string& path = fresh.path;
  must(GraftFile::create(path, Graft{}, stamp));
  ReadingQueue queue = must(ReadingQueue::open(path));
  const auto senders = static_cast<int>(state.range(0));
  constexpr int each = 50;
  int round = 0;
  for (auto unused : state) {
    (void)unused;
    std::vector<std::thread> threads;
    for (int sender = 0; sender < senders; ++sender) {
      threads.emplace_back([&queue, sender, round] {
        for (int i = 0; i < each; ++i) {
          const std::string id =
              std::to_string(round) + "-" + std::to_string(sender) + "-" + std::to_string(i);
          must(queue.add({id, "t", 0.5 * i, "V", "phone", "2026-03-01T10:00:00Z"}).get());
        }
      });
    }
    for (std::thread& thread : threads) thread.join();
    ++round;
  }
  const auto sent = static_cast<std::int64_t>(round) * senders * each;
  state.SetItemsProcessed(sent);
  if (static_cast<std::int64_t>(must(must(GraftFile::open(path)).readings()).size()) != sent) std::abort();
}
BENCHMARK(readings_from_senders)->Arg(1)->Arg(8)->Arg(64)->UseRealTime()->Unit(benchmark::kMillisecond);

void commit_one_edit(benchmark::State& state) {
  const FreshFile fresh;
  const std::string& path = fresh.path;
  GraftFile file = must(GraftFile::create(path, large_graft(static_cast<int>(state.range(0))), stamp));
  std::int64_t revision = 1;
  for (auto unused : state) {
    (void)unused;
    const auto patch = nlohmann::json::array(
        {{{"op", "replace"}, {"path", "/wires/7/length_mm"}, {"value", 10'000 + revision}}});
    revision = must(file.commit(patch.dump(), revision, stamp)).revision;
  }
  if (must(file.document())->graft.wires[7].length != millimetres(static_cast<double>(10'000 + revision - 1)))
    std::abort();
}
BENCHMARK(commit_one_edit)->Arg(50)->Arg(2000)->UseRealTime()->Unit(benchmark::kMillisecond);

// With 31 changes behind the last full copy: the most that opening has to carry forward.
void open_and_read(benchmark::State& state) {
  const FreshFile fresh;
  const std::string& path = fresh.path;
  {
    GraftFile file = must(GraftFile::create(path, large_graft(static_cast<int>(state.range(0))), stamp));
    for (std::int64_t revision = 1; revision < 32; ++revision) {
      const auto patch = nlohmann::json::array(
          {{{"op", "replace"}, {"path", "/wires/7/length_mm"}, {"value", 10'000 + revision}}});
      must(file.commit(patch.dump(), revision, stamp));
    }
  }
  for (auto unused : state) {
    (void)unused;
    GraftFile file = must(GraftFile::open(path));
    if (must(file.document())->revision != 32) std::abort();
  }
}
BENCHMARK(open_and_read)->Arg(50)->Arg(2000)->UseRealTime()->Unit(benchmark::kMillisecond);

void ask_whether_anything_changed(benchmark::State& state) {
  const FreshFile fresh;
  const std::string& path = fresh.path;
  GraftFile file = must(GraftFile::create(path, Graft{}, stamp));
  for (auto unused : state) {
    (void)unused;
    benchmark::DoNotOptimize(must(file.last_sequence()));
  }
}
BENCHMARK(ask_whether_anything_changed);

}  // namespace
}  // namespace loomgraft

BENCHMARK_MAIN();
