// 100,000 invented donor modules of 100 pins, ranked for the best 20 on one core; the answer is checked
// against comparing every module in full (2,000 of them here, since all would take minutes).
#include "donor/rank.h"

#include <benchmark/benchmark.h>
#include <sys/resource.h>

#include <stdexcept>

#include "tests/compare/synthetic_modules.h"

namespace {

using namespace loomgraft;

struct Setting {
  Graft graft;
  KeyTable keys;
  DonorLibrary donors{keys};
};

void fill(Setting& setting, std::size_t donors) {
  const synthetic::Made found = synthetic::make_module("found", 100, 1);
  setting.graft = synthetic::graft_of(found);
  for (std::size_t i = 0; i < donors; ++i) {
    // A library as scrapyards have it: mostly strangers, some of one family, a few near twins.
    const std::size_t kin = i % 50 == 0 ? 85 + i % 14 : i % 7 == 0 ? 60 : 0;
    const auto made = synthetic::make_module("d" + std::to_string(i), 100, 1000 + i, &found.module, kin);
    setting.donors.add(made.module, made.connectors);
  }
}

double megabytes() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / 1024.0;
}

void rank_library(benchmark::State& state) {
  Setting setting;
  fill(setting, static_cast<std::size_t>(state.range(0)));
  RankReport report;
  for (auto run : state)
    report = rank(setting.graft.modules[0], setting.graft, setting.keys, setting.donors, {});
  state.counters["compared_in_full"] = static_cast<double>(report.compared_in_full);
  state.counters["peak_MB"] = megabytes();
}
BENCHMARK(rank_library)->Arg(2000)->Arg(100000)->Unit(benchmark::kMillisecond);

void rank_in_full(benchmark::State& state) {
  Setting setting;
  fill(setting, static_cast<std::size_t>(state.range(0)));
  RankOptions full;
  full.in_full = true;
  RankReport report;
  for (auto run : state)
    report = rank(setting.graft.modules[0], setting.graft, setting.keys, setting.donors, full);
  const RankReport quick = rank(setting.graft.modules[0], setting.graft, setting.keys, setting.donors, {});
  for (std::size_t i = 0; i < report.donors.size(); ++i) {
    if (report.donors[i].id != quick.donors[i].id) throw std::logic_error("the bound changed the answer");
  }
}
BENCHMARK(rank_in_full)->Arg(2000)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
