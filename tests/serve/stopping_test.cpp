// Cancelled work ends, nothing of it is kept, and a later request starts a new job.
#include <gtest/gtest.h>

#include <condition_variable>
#include <future>
#include <mutex>

#include "base/stop.h"
#include "design/design.h"
#include "find/find.h"
#include "serve/proof_cache.h"
#include "tests/network/random_loom.h"
#include "tests/serve/bench.h"

namespace loomgraft::serve_stopping_test {
namespace {

std::stop_token stopped_token() {
  std::stop_source source;
  source.request_stop();
  return source.get_token();
}

// Computes a proof until it is stopped or released.
class SlowProof {
 public:
  Proof make(const std::stop_token& stop) {
    std::unique_lock<std::mutex> lock(mutex_);
    ++begun_;
    changed_.notify_all();
    changed_.wait(lock, stop, [this] { return release_; });
    ++ended_;
    changed_.notify_all();
    Proof proof;
    if (stop.stop_requested()) proof.report.problems.push_back(was_stopped());
    return proof;
  }
  void release() { set(release_, true); }
  void wait_begun(int count) { wait_for(begun_, count); }
  void wait_ended(int count) { wait_for(ended_, count); }
  int ended() {
    const std::lock_guard<std::mutex> lock(mutex_);
    return ended_;
  }
  ProofCache::Make maker() {
    return [this](const Graft&, const std::stop_token& stop) { return make(stop); };
  }

 private:
  void set(bool& what, bool value) {
    const std::lock_guard<std::mutex> lock(mutex_);
    what = value;
    changed_.notify_all();
  }
  void wait_for(const int& what, int count) {
    std::unique_lock<std::mutex> lock(mutex_);
    changed_.wait(lock, [&] { return what >= count; });
  }

  std::mutex mutex_;
  std::condition_variable_any changed_;
  int begun_ = 0;
  int ended_ = 0;
  bool release_ = false;
};

auto ask(ProofCache& cache, const std::stop_token& stop) {
  return std::async(std::launch::async, [&cache, stop] { return cache.get("r1", Graft{}, stop); });
}

TEST(Stopping, AProofWithoutRequestsStopsAndIsComputedAgainLater) {
  SlowProof slow;
  ProofCache cache(slow.maker());
  std::stop_source first;
  auto stopped = ask(cache, first.get_token());
  slow.wait_begun(1);
  first.request_stop();
  EXPECT_EQ(stopped.get(), nullptr);
  EXPECT_EQ(slow.ended(), 1);
  slow.release();
  EXPECT_NE(cache.get("r1", Graft{}, {}), nullptr) << "not the stopped one";
  EXPECT_EQ(slow.ended(), 2);
  EXPECT_NE(cache.get("r1", Graft{}, {}), nullptr);
  EXPECT_EQ(slow.ended(), 2) << "kept";
}

TEST(Stopping, AProofThatAnotherRequestNeedsIsNotStopped) {
  SlowProof slow;
  ProofCache cache(slow.maker());
  std::stop_source first;
  std::stop_source second;
  auto maker = ask(cache, first.get_token());
  slow.wait_begun(1);
  auto waiter = ask(cache, second.get_token());
  auto third = ask(cache, {});
  second.request_stop();
  EXPECT_EQ(waiter.get(), nullptr) << "a waiter stops waiting at once";
  EXPECT_EQ(slow.ended(), 0);
  slow.release();
  EXPECT_NE(third.get(), nullptr);
  EXPECT_NE(maker.get(), nullptr);
  EXPECT_EQ(slow.ended(), 1);
}

TEST(Stopping, AStoppedStageReportsOnlyThatItStopped) {
  const Graft graft = samples::random_loom(3, 6, 12.0).graft;
  ProveOptions options;
  options.faults.whole_loom = true;
  const Proof whole = prove_loom(graft, options);
  ASSERT_FALSE(whole.report.plan.empty());
  options.stop = stopped_token();
  const Proof proof = prove_loom(graft, options);
  ASSERT_EQ(proof.report.problems.size(), 1U);
  EXPECT_TRUE(is_stopped(proof.report.problems));
  EXPECT_TRUE(proof.report.faults.empty());
  EXPECT_TRUE(proof.readings.rows.empty());
  EXPECT_TRUE(is_stopped(make_proof(graft, stopped_token()).report.problems)) << "as the cache makes them";
  FindOptions finding;
  EXPECT_FALSE(find_fault(whole, {}, finding).hypotheses.empty());
  finding.stop = options.stop;
  const FindReport found = find_fault(whole, {}, finding);
  EXPECT_TRUE(is_stopped(found.problems));
  EXPECT_TRUE(found.hypotheses.empty());
  DesignOptions sizing;
  sizing.stop = options.stop;
  const DesignReport designed = design_circuits(graft, sizing);
  EXPECT_TRUE(is_stopped(designed.problems));
  EXPECT_TRUE(designed.circuits.empty());
  EXPECT_FALSE(designed.passes) << "a stopped design must not count as passed";
}

// One thread computes.
TEST(Stopping, ACancelledReportFreesItsThread) {
  ServeOptions options;
  options.jobs.threads = 1;
  options.jobs.answer_within = std::chrono::milliseconds(20);
  Bench bench(options);
  Graft graft = samples::random_loom(5, 30, 12.0).graft;
  for (Wire& wire : graft.wires) {  // what the plan adds is what is proved
    graft.plan.push_back({});
    graft.plan.back().action = PlanAction::add;
    graft.plan.back().added = wire;
  }
  graft.wires.clear();
  held(GraftFile::create(bench.folder / "large.graft", graft, {"Ann", "2026-03-01T10:00:00Z", ""}));
  const std::string g = "/api/grafts/large/reports/";
  const auto begin_proof = [&] {
    const std::string job = bench.get(g + "prove", 202)["job"];
    while (bench.get("/api/jobs/" + job)["text"] != "") std::this_thread::yield();
    return job;
  };
  for (int times = 0; times < 2; ++times) {
    const std::string job = begin_proof();
    const auto cancelled = bench.client->Delete("/api/jobs/" + job);
    EXPECT_EQ(Json::parse(cancelled->body)["state"], "cancelled");
  }
  EXPECT_EQ(bench.bench->jobs().computed(), 2U) << "the second was computed again";
  // The only thread answers another question once it is free.
  while (bench.client->Get(g + "check")->status == 202) std::this_thread::yield();
}

}  // namespace
}  // namespace loomgraft::serve_stopping_test
