// Reports and drawings, computed in the background once for each revision and set of parameters, and kept.
//
// Model   a key names everything that the result depends on, the revision included. Requests for a key that is
//         being computed wait for the same computation. A few threads compute, one of a series at a time, and give
//         way to the threads that answer; a request that would wait longer than `answer_within` gets the id of a
//         job instead
// Needs   `compute` is a pure function of its key
// Gives   the result, or the job; results are kept within `max_bytes`, the least recently used leave first
// Fails   busy if `max_waiting` jobs wait already. A cancelled job tells its stage to stop, which it does at its
//         next step; its result is dropped, and a later request starts a new job
#pragma once

#include <chrono>
#include <condition_variable>
#include <deque>
#include <functional>
#include <list>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <set>
#include <stop_token>
#include <string>
#include <thread>
#include <vector>

#include "http/call.h"

namespace loomgraft {

enum class JobState { running, done, cancelled, failed };
constexpr const char* name_of(JobState state) {
  constexpr const char* names[] = {"running", "done", "cancelled", "failed"};
  return names[static_cast<int>(state)];
}

struct JobView {
  std::string id;
  std::string owner;  // the graft
  JobState state = JobState::running;
  double progress = 0.0;
  std::string text;
};

// How a computation reports progress and learns that it should stop.
struct JobControl {
  std::function<void(double progress, std::string text)> step;
  std::stop_token stop;  // no request waits for the result any more; stages check it between their steps
};

// The part of an HTTP answer that is kept.
struct JobResult {
  int status = 200;
  std::string type;
  std::string body;
};
using JobResultPtr = std::shared_ptr<const JobResult>;

struct JobQueueOptions {
  std::size_t threads = 4;  // so that two long computations do not delay a short one
  std::size_t max_bytes = std::size_t{64} << 20U;
  std::size_t max_waiting = 64;
  std::chrono::milliseconds answer_within{200};
};

class JobQueue {
 public:
  using Compute = std::function<JobResult(const JobControl&)>;
  using Notify = std::function<void(const JobView&)>;  // progress or end of a job whose id a request got

  explicit JobQueue(const JobQueueOptions& options = {}, Notify notify = {});
  JobQueue(const JobQueue&) = delete;
  JobQueue& operator=(const JobQueue&) = delete;
  ~JobQueue();

  struct Outcome {
    JobResultPtr result;
    std::string job;         // id of the job, if it takes longer
    bool cancelled = false;  // somebody cancelled it while this request waited
    bool busy = false;
  };
  // `series` is the key without its revision: a newer key of one series replaces those that still wait. Their
  // jobs then count as done, so that whoever follows one requests the report again and gets the newer one.
  Outcome request(const std::string& key, const std::string& series, const std::string& owner,
                  Compute compute);

  // The same in the calling thread, for what is quick and must not wait for other computations.
  JobResultPtr compute_now(const std::string& key, const Compute& compute);

  std::optional<JobView> job(const std::string& id) const;
  // What a job of this series has computed, if it is still kept; none for other ids.
  struct JobOutcome {
    std::string key;
    JobResultPtr result;
  };
  std::optional<JobOutcome> result_of(const std::string& id, const std::string& series);
  // False where there is no such job.
  bool cancel(const std::string& id);

  std::size_t computed() const;  // number of computations started

 private:
  struct Job;
  using JobPtr = std::shared_ptr<Job>;

  void supersede(const std::string& series);
  JobPtr next_job();
  void add_ended(const JobPtr& job);
  void work();
  void run(const JobPtr& job);
  void finish(const JobPtr& job, JobResultPtr result);
  void keep(const std::string& key, const JobResultPtr& result);
  JobResultPtr kept(const std::string& key);

  JobQueueOptions options_;
  Notify notify_;
  mutable std::mutex mutex_;
  std::condition_variable work_added_;
  std::condition_variable job_ended_;
  std::map<std::string, JobPtr> running_;  // by key
  std::map<std::string, JobPtr> jobs_;     // by id
  std::deque<JobPtr> ended_;               // jobs that ended, whose state can still be requested
  std::deque<JobPtr> waiting_;
  std::set<std::string> running_series_;
  std::list<std::pair<std::string, JobResultPtr>> kept_;  // most recently used first
  std::map<std::string, decltype(kept_)::iterator> kept_by_key_;
  std::size_t bytes_ = 0;
  std::size_t count_ = 0;
  bool ending_ = false;
  std::vector<std::thread> threads_;
};

}  // namespace loomgraft
