// Computing once, keeping, waiting, cancelling.
#include "serve/job_queue.h"

#include <gtest/gtest.h>

#include <atomic>
#include <future>

namespace loomgraft::serve_job_queue_test {
namespace {

using std::chrono::milliseconds;

Finished text(std::string body) {
  return {200, "text/plain", std::move(body)};
}

TEST(ReportDesk, ConcurrentAskersWaitForOneComputation) {
  std::promise<void> gate;
  const std::shared_future<void> open(gate.get_future());
  DeskOptions options;
  options.patience = milliseconds(60'000);
  ReportDesk desk(options);
  std::atomic<int> begun{0};
  std::vector<std::future<std::string>> askers;
  for (int i = 0; i < 8; ++i) {
    askers.push_back(std::async(std::launch::async, [&] {
      return desk
          .ask("key", "key", "g",
               [&](const JobControl&) {
                 ++begun;
                 open.wait();
                 return text("answer");
               })
          .finished->body;
    }));
  }
  while (begun == 0) std::this_thread::yield();
  gate.set_value();
  for (auto& asker : askers) EXPECT_EQ(asker.get(), "answer");
  EXPECT_EQ(begun, 1);
  EXPECT_EQ(desk.computed(), 1U);
}

struct Slow {
  std::promise<void> gate;
  std::shared_future<void> open{gate.get_future()};
  std::atomic<bool> saw_cancel{false};
  ReportDesk::Compute compute() {
    return [this](const JobControl& control) {
      control.step(0.25, "a quarter");
      open.wait();
      saw_cancel = control.stop.stop_requested();
      return text("slow");
    };
  }
};

TEST(ReportDesk, WhatTakesLongGetsAJobAndIsThereWhenDone) {
  Slow slow;
  DeskOptions options;
  options.patience = milliseconds(20);
  std::promise<JobView> ended;
  ReportDesk desk(options, [&](const JobView& job) {
    if (job.state == JobState::done) ended.set_value(job);
  });
  const ReportDesk::Asked asked = desk.ask("key", "key", "van", slow.compute());
  ASSERT_EQ(asked.finished, nullptr);
  ASSERT_FALSE(asked.job.empty());
  EXPECT_EQ(desk.job(asked.job)->state, JobState::running);
  EXPECT_EQ(desk.job(asked.job)->progress, 0.25);
  EXPECT_EQ(desk.job(asked.job)->text, "a quarter");
  slow.gate.set_value();
  const JobView view = ended.get_future().get();
  EXPECT_EQ(view.owner, "van");
  EXPECT_EQ(desk.job(asked.job)->state, JobState::done);
  EXPECT_EQ(desk.ask("key", "key", "van", slow.compute()).finished->body, "slow");
  EXPECT_EQ(desk.computed(), 1U);
}

TEST(ReportDesk, ACancelledJobDropsItsResult) {
  Slow slow;
  DeskOptions options;
  options.patience = milliseconds(20);
  options.threads = 1;
  ReportDesk desk(options);
  const std::string first = desk.ask("one", "one", "g", slow.compute()).job;
  std::atomic<bool> ran{false};
  const std::string waiting = desk.ask("two", "two", "g",
                                       [&](const JobControl&) {
                                         ran = true;
                                         return text("two");
                                       })
                                  .job;
  EXPECT_EQ(desk.job(waiting)->text, "waiting");
  EXPECT_TRUE(desk.cancel(waiting));
  EXPECT_TRUE(desk.cancel(first));
  EXPECT_FALSE(desk.cancel("j99"));
  EXPECT_EQ(desk.job(first)->state, JobState::cancelled);
  slow.gate.set_value();
  ReportDesk::Asked again;
  while (!again.finished)
    again = desk.ask("one", "one", "g", [](const JobControl&) { return text("fresh"); });
  EXPECT_EQ(again.finished->body, "fresh");
  EXPECT_TRUE(slow.saw_cancel);
  EXPECT_FALSE(ran);
}

TEST(ReportDesk, ANewerRevisionOvertakesWhatStillWaits) {
  Slow slow;
  DeskOptions options;
  options.patience = milliseconds(20);
  options.threads = 1;
  ReportDesk desk(options);
  const std::string running = desk.ask("r1", "line", "g", slow.compute()).job;
  std::atomic<bool> ran{false};
  const auto stale = [&](const JobControl&) {
    ran = true;
    return text("stale");
  };
  const std::string waiting = desk.ask("r2", "line", "g", stale).job;
  const std::string other =
      desk.ask("r2 of another", "another line", "g", [](const JobControl&) { return text("x"); }).job;
  const std::string newest = desk.ask("r3", "line", "g", [](const JobControl&) { return text("new"); }).job;
  EXPECT_EQ(desk.job(waiting)->state, JobState::done);
  EXPECT_EQ(desk.job(running)->state, JobState::running);
  EXPECT_EQ(desk.job(other)->state, JobState::running);
  slow.gate.set_value();
  ReportDesk::Asked again;
  while (!again.finished) again = desk.ask("r3", "line", "g", stale);
  EXPECT_EQ(again.finished->body, "new");
  EXPECT_FALSE(ran);
}

TEST(ReportDesk, AMistakeIsToldAndNotKept) {
  ReportDesk desk;
  const auto broken = [](const JobControl&) -> Finished { throw std::runtime_error("bug"); };
  EXPECT_EQ(desk.ask("key", "key", "g", broken).finished->status, 500);
  EXPECT_EQ(desk.ask("key", "key", "g", [](const JobControl&) { return text("fine"); }).finished->body,
            "fine");
}

TEST(ReportDesk, ForgetsWhatWasAskedForLongAgo) {
  DeskOptions options;
  options.most_bytes = 3000;
  ReportDesk desk(options);
  const auto thousand = [](const JobControl&) { return text(std::string(1000, 'x')); };
  desk.ask("a", "a", "g", thousand);
  desk.ask("b", "b", "g", thousand);
  desk.ask("a", "a", "g", thousand);
  EXPECT_EQ(desk.computed(), 2U);
  desk.ask("c", "c", "g", thousand);  // b leaves
  desk.ask("a", "a", "g", thousand);
  EXPECT_EQ(desk.computed(), 3U);
  desk.ask("b", "b", "g", thousand);
  EXPECT_EQ(desk.computed(), 4U);
}

TEST(ReportDesk, RefusesWhereTooMuchWaits) {
  Slow slow;
  DeskOptions options;
  options.threads = 1;
  options.most_waiting = 1;
  options.patience = milliseconds(5);
  ReportDesk desk(options);
  desk.ask("one", "one", "g", slow.compute());
  std::string second;
  // The first may still stand in the queue for a moment.
  while (second.empty()) second = desk.ask("two", "two", "g", slow.compute()).job;
  EXPECT_TRUE(desk.ask("three", "three", "g", slow.compute()).busy);
  slow.gate.set_value();
}

}  // namespace
}  // namespace loomgraft::serve_job_queue_test
