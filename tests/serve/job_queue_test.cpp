// The job queue: computing once, keeping results, waiting, cancelling.
#include "serve/job_queue.h"

#include <gtest/gtest.h>

#include <atomic>
#include <future>

namespace loomgraft::serve_job_queue_test {
namespace {

using std::chrono::milliseconds;

JobResult text(std::string body) {
  return {200, "text/plain", std::move(body)};
}

TEST(JobQueue, ConcurrentRequestsWaitForOneComputation) {
  std::promise<void> gate;
  const std::shared_future<void> open(gate.get_future());
  JobQueueOptions options;
  options.answer_within = milliseconds(60'000);
  JobQueue jobs(options);
  std::atomic<int> begun{0};
  std::vector<std::future<std::string>> requests;
  for (int i = 0; i < 8; ++i) {
    requests.push_back(std::async(std::launch::async, [&] {
      return jobs
          .request("key", "key", "g",
                   [&](const JobControl&) {
                     ++begun;
                     open.wait();
                     return text("answer");
                   })
          .result->body;
    }));
  }
  while (begun == 0) std::this_thread::yield();
  gate.set_value();
  for (auto& one : requests) EXPECT_EQ(one.get(), "answer");
  EXPECT_EQ(begun, 1);
  EXPECT_EQ(jobs.computed(), 1U);
}

struct Slow {
  std::promise<void> gate;
  std::shared_future<void> open{gate.get_future()};
  std::atomic<bool> saw_cancel{false};
  JobQueue::Compute compute() {
    return [this](const JobControl& control) {
      control.step(0.25, "a quarter");
      open.wait();
      saw_cancel = control.stop.stop_requested();
      return text("slow");
    };
  }
};

TEST(JobQueue, ASlowReportGetsAJobAndIsReadyWhenDone) {
  Slow slow;
  JobQueueOptions options;
  options.answer_within = milliseconds(20);
  std::promise<JobView> ended;
  JobQueue jobs(options, [&](const JobView& job) {
    if (job.state == JobState::done) ended.set_value(job);
  });
  const JobQueue::Outcome outcome = jobs.request("key", "key", "van", slow.compute());
  ASSERT_EQ(outcome.result, nullptr);
  ASSERT_FALSE(outcome.job.empty());
  EXPECT_EQ(jobs.job(outcome.job)->state, JobState::running);
  EXPECT_EQ(jobs.job(outcome.job)->progress, 0.25);
  EXPECT_EQ(jobs.job(outcome.job)->text, "a quarter");
  slow.gate.set_value();
  const JobView view = ended.get_future().get();
  EXPECT_EQ(view.owner, "van");
  EXPECT_EQ(jobs.job(outcome.job)->state, JobState::done);
  EXPECT_EQ(jobs.request("key", "key", "van", slow.compute()).result->body, "slow");
  EXPECT_EQ(jobs.computed(), 1U);
}

TEST(JobQueue, ACancelledJobDropsItsResult) {
  Slow slow;
  JobQueueOptions options;
  options.answer_within = milliseconds(20);
  options.threads = 1;
  JobQueue jobs(options);
  const std::string first = jobs.request("one", "one", "g", slow.compute()).job;
  std::atomic<bool> ran{false};
  const std::string waiting = jobs.request("two", "two", "g",
                                           [&](const JobControl&) {
                                             ran = true;
                                             return text("two");
                                           })
                                  .job;
  EXPECT_EQ(jobs.job(waiting)->text, "waiting");
  EXPECT_TRUE(jobs.cancel(waiting));
  EXPECT_TRUE(jobs.cancel(first));
  EXPECT_FALSE(jobs.cancel("j99"));
  EXPECT_EQ(jobs.job(first)->state, JobState::cancelled);
  slow.gate.set_value();
  JobQueue::Outcome again;
  while (!again.result)
    again = jobs.request("one", "one", "g", [](const JobControl&) { return text("fresh"); });
  EXPECT_EQ(again.result->body, "fresh");
  EXPECT_TRUE(slow.saw_cancel);
  EXPECT_FALSE(ran);
}

TEST(JobQueue, ANewerRevisionReplacesAWaitingJob) {
  Slow slow;
  JobQueueOptions options;
  options.answer_within = milliseconds(20);
  options.threads = 1;
  JobQueue jobs(options);
  const std::string running = jobs.request("r1", "series", "g", slow.compute()).job;
  std::atomic<bool> ran{false};
  const auto stale = [&](const JobControl&) {
    ran = true;
    return text("stale");
  };
  const std::string waiting = jobs.request("r2", "series", "g", stale).job;
  const std::string other =
      jobs.request("r2 of another", "another series", "g", [](const JobControl&) { return text("x"); }).job;
  const std::string newest =
      jobs.request("r3", "series", "g", [](const JobControl&) { return text("new"); }).job;
  EXPECT_EQ(jobs.job(waiting)->state, JobState::done);
  EXPECT_EQ(jobs.job(running)->state, JobState::running);
  EXPECT_EQ(jobs.job(other)->state, JobState::running);
  slow.gate.set_value();
  JobQueue::Outcome again;
  while (!again.result) again = jobs.request("r3", "series", "g", stale);
  EXPECT_EQ(again.result->body, "new");
  EXPECT_FALSE(ran);
}

TEST(JobQueue, AFailedComputationIsReportedAndNotKept) {
  JobQueue jobs;
  const auto broken = [](const JobControl&) -> JobResult { throw std::runtime_error("bug"); };
  EXPECT_EQ(jobs.request("key", "key", "g", broken).result->status, 500);
  EXPECT_EQ(jobs.request("key", "key", "g", [](const JobControl&) { return text("fine"); }).result->body,
            "fine");
}

TEST(JobQueue, DropsTheLeastRecentlyUsedResult) {
  JobQueueOptions options;
  options.max_bytes = 3000;
  JobQueue jobs(options);
  const auto thousand = [](const JobControl&) { return text(std::string(1000, 'x')); };
  jobs.request("a", "a", "g", thousand);
  jobs.request("b", "b", "g", thousand);
  jobs.request("a", "a", "g", thousand);
  EXPECT_EQ(jobs.computed(), 2U);
  jobs.request("c", "c", "g", thousand);  // b leaves
  jobs.request("a", "a", "g", thousand);
  EXPECT_EQ(jobs.computed(), 3U);
  jobs.request("b", "b", "g", thousand);
  EXPECT_EQ(jobs.computed(), 4U);
}

TEST(JobQueue, IsBusyWhenTooManyJobsWait) {
  Slow slow;
  JobQueueOptions options;
  options.threads = 1;
  options.max_waiting = 1;
  options.answer_within = milliseconds(5);
  JobQueue jobs(options);
  jobs.request("one", "one", "g", slow.compute());
  std::string second;
  // The first may still stand in the queue for a moment.
  while (second.empty()) second = jobs.request("two", "two", "g", slow.compute()).job;
  EXPECT_TRUE(jobs.request("three", "three", "g", slow.compute()).busy);
  slow.gate.set_value();
}

void until_ended(JobQueue& jobs, const std::string& id) {
  while (jobs.job(id)->state == JobState::running) std::this_thread::yield();
}

TEST(JobQueue, WhoWaitedForAJobGetsItsResultThoughTheDocumentHasMovedOn) {
  Slow slow;
  JobQueueOptions options;
  options.answer_within = milliseconds(0);
  JobQueue jobs(options);
  const std::string first = jobs.request("r1/s", "s", "g", slow.compute()).job;
  const std::string second = jobs.request("r2/s", "s", "g", slow.compute()).job;
  ASSERT_FALSE(first.empty());
  EXPECT_FALSE(jobs.result_of(first, "s")) << "it is not done";
  slow.gate.set_value();
  until_ended(jobs, first);
  until_ended(jobs, second);
  ASSERT_TRUE(jobs.result_of(first, "s"));
  EXPECT_EQ(jobs.result_of(first, "s")->key, "r1/s");
  EXPECT_EQ(jobs.result_of(second, "s")->key, "r2/s");
  EXPECT_FALSE(jobs.result_of(first, "another")) << "a job of one report gives no other";
  EXPECT_FALSE(jobs.result_of("j99", "s"));
}

TEST(JobQueue, OneRevisionOfAReportIsComputedAtATime) {
  JobQueueOptions options;
  options.answer_within = milliseconds(0);
  JobQueue jobs(options);
  std::atomic<int> now{0};
  std::atomic<int> most{0};
  std::string last;
  for (int revision = 0; revision < 50; ++revision) {
    last = jobs.request("r" + std::to_string(revision), "s", "g",
                        [&](const JobControl&) {
                          most = std::max(most.load(), ++now);
                          std::this_thread::yield();
                          --now;
                          return text("x");
                        })
               .job;
  }
  if (!last.empty()) until_ended(jobs, last);
  EXPECT_EQ(most, 1);
}

TEST(JobQueue, WithoutMemoryTheRequestIsRefusedAndTheNextIsAnswered) {
  JobQueueOptions options;
  options.answer_within = milliseconds(60'000);
  JobQueue jobs(options);
  const auto refused =
      jobs.request("a", "a", "g", [](const JobControl&) -> JobResult { throw std::bad_alloc(); });
  ASSERT_TRUE(refused.result);
  EXPECT_EQ(refused.result->status, 503);
  EXPECT_NE(refused.result->body.find("no-memory"), std::string::npos);
  EXPECT_EQ(jobs.request("b", "b", "g", [](const JobControl&) { return text("fine"); }).result->body, "fine");
}

}  // namespace
}  // namespace loomgraft::serve_job_queue_test
