// Reports and drawings: computed once for each revision and its parameters, off the asking thread, and kept.
//
// Model   a key says what is asked, revision included; what has the same key is the same for ever. Those who
//         ask for a key that is being computed wait for the same computation. A few threads compute; what
//         waits too long gets a job to ask after.
// Needs   `compute` is a pure function of its key
// Gives   the result, or the job; results are kept, least recently asked for leaving first, within
//         `most_bytes`
// Fails   too many waiting: busy. A cancelled job tells its stage to stop, which it does at its next step;
//         whatever comes of it is dropped, and who asks again starts anew
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

// What a computation tells, and asks, on its way.
struct JobControl {
  std::function<void(double progress, std::string words)> step;
  std::stop_token stop;  // nobody wants the result any more: stages look at it between their steps
};

// What is kept of an answer.
struct Finished {
  int status = 200;
  std::string type;
  std::string body;
};
using FinishedPtr = std::shared_ptr<const Finished>;

struct DeskOptions {
  std::size_t threads = 4;  // so that two long ones do not hold up a short one
  std::size_t most_bytes = std::size_t{64} << 20U;
  std::size_t most_waiting = 64;
  std::chrono::milliseconds patience{200};
};

class ReportDesk {
 public:
  using Compute = std::function<Finished(const JobControl&)>;
  using Tell = std::function<void(const JobView&)>;  // a job that someone was told of ended or moved on

  explicit ReportDesk(const DeskOptions& options = {}, Tell tell = {});
  ReportDesk(const ReportDesk&) = delete;
  ReportDesk& operator=(const ReportDesk&) = delete;
  ~ReportDesk();

  struct Asked {
    FinishedPtr finished;
    std::string job;         // where it takes longer
    bool cancelled = false;  // someone cancelled it while we waited
    bool busy = false;
  };
  // `line` is the question without its revision: a newer key of one line overtakes those that still wait,
  // whose jobs then count as done, so that who follows one asks again and gets the newer one.
  Asked ask(const std::string& key, const std::string& line, const std::string& owner, Compute compute);

  // The same in the asking thread, for what is quick and must be answered whatever else is being computed.
  FinishedPtr here(const std::string& key, const Compute& compute);

  std::optional<JobView> job(const std::string& id) const;
  // False where there is no such job.
  bool cancel(const std::string& id);

  std::size_t computed() const;  // how many computations were begun

 private:
  struct Job;
  using JobPtr = std::shared_ptr<Job>;

  void overtake(const std::string& line);
  void work();
  void run(const JobPtr& job);
  void finish(const JobPtr& job, FinishedPtr finished);
  void keep(const std::string& key, const FinishedPtr& finished);
  FinishedPtr kept(const std::string& key);

  DeskOptions options_;
  Tell tell_;
  mutable std::mutex turn_;
  std::condition_variable work_there_;
  std::condition_variable job_ended_;
  std::map<std::string, JobPtr> running_;  // by key
  std::map<std::string, JobPtr> jobs_;     // by id
  std::deque<JobPtr> ended_;               // jobs of which the state is still told
  std::deque<JobPtr> waiting_;
  std::list<std::pair<std::string, FinishedPtr>> shelf_;  // asked for last stands first
  std::map<std::string, decltype(shelf_)::iterator> on_shelf_;
  std::size_t bytes_ = 0;
  std::size_t count_ = 0;
  bool ending_ = false;
  std::vector<std::thread> threads_;
};

}  // namespace loomgraft
