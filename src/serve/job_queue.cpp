// Worker threads take jobs from a queue; a request waits for its job for a short time and else gets its id. One mutex
// guards all lists; computations run without it.
#include "serve/job_queue.h"

#include <sys/resource.h>
#include <unistd.h>

#include <algorithm>
#include <new>

#include "http/refusal.h"

namespace loomgraft {
namespace {
constexpr std::size_t max_ended_jobs = 256;
constexpr int computing_nice = 10;

JobResult no_memory() {
  const Answer answer = refuse_for_memory();
  return {answer.status, answer.type, answer.body};
}

// Computing gives way to answering: a reading must not wait for a drawing. Threads that it starts inherit this.
void give_way() {
  ::setpriority(PRIO_PROCESS, static_cast<id_t>(::gettid()), computing_nice);
}

}  // namespace

struct JobQueue::Job {
  std::string key;
  std::string series;
  JobView view;
  Compute compute;
  std::stop_source stop;
  bool followed = false;     // a request got its id
  std::size_t requests = 0;  // that wait in request() now
  JobResultPtr result;       // only for them: what is kept is kept in kept_
};

JobQueue::JobQueue(const JobQueueOptions& options, Notify notify)
    : options_(options), notify_(std::move(notify)) {
  for (std::size_t i = 0; i < options_.threads; ++i) threads_.emplace_back([this] { work(); });
}

JobQueue::~JobQueue() {
  std::vector<std::stop_source> stopped;
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    ending_ = true;
    for (const auto& [key, job] : running_) job->view.state = JobState::cancelled;
    for (const auto& [id, job] : jobs_) stopped.push_back(job->stop);
  }
  for (std::stop_source& one : stopped) one.request_stop();
  work_added_.notify_all();
  job_ended_.notify_all();
  for (std::thread& thread : threads_) thread.join();
}

JobResultPtr JobQueue::kept(const std::string& key) {
  const auto found = kept_by_key_.find(key);
  if (found == kept_by_key_.end()) return nullptr;
  kept_.splice(kept_.begin(), kept_, found->second);
  return found->second->second;
}

void JobQueue::keep(const std::string& key, const JobResultPtr& result) {
  const auto cost = [](const std::string& k, const JobResultPtr& f) {
    return 2 * k.size() + f->body.size() + 256;
  };
  if (kept_by_key_.contains(key) || cost(key, result) > options_.max_bytes) return;
  kept_.emplace_front(key, result);
  kept_by_key_[key] = kept_.begin();
  bytes_ += cost(key, result);
  while (bytes_ > options_.max_bytes) {
    bytes_ -= cost(kept_.back().first, kept_.back().second);
    kept_by_key_.erase(kept_.back().first);
    kept_.pop_back();
  }
}

void JobQueue::supersede(const std::string& series) {
  std::erase_if(waiting_, [&](const JobPtr& job) {
    if (job->series != series || job->view.state != JobState::running) return false;
    job->view.state = JobState::done;
    job->view.text = "replaced by a newer revision";
    running_.erase(job->key);
    add_ended(job);
    return true;
  });
  job_ended_.notify_all();
}

// What the computation holds, a document most of all, goes with it.
void JobQueue::add_ended(const JobPtr& job) {
  job->compute = nullptr;
  ended_.push_back(job);
  if (ended_.size() <= max_ended_jobs) return;
  jobs_.erase(ended_.front()->view.id);
  ended_.pop_front();
}

JobQueue::Outcome JobQueue::request(const std::string& key, const std::string& series,
                                    const std::string& owner, Compute compute) {
  std::unique_lock<std::mutex> lock(mutex_);
  if (JobResultPtr result = kept(key)) return {std::move(result), {}, false, false};
  JobPtr job;
  if (const auto found = running_.find(key); found != running_.end()) {
    job = found->second;
  } else {
    supersede(series);
    if (waiting_.size() >= options_.max_waiting) return {nullptr, {}, false, true};
    job = std::make_shared<Job>();
    job->key = key;
    job->series = series;
    job->view.id = "j" + std::to_string(++count_);
    job->view.owner = owner;
    job->view.text = "waiting";
    job->compute = std::move(compute);
    running_.emplace(key, job);
    jobs_.emplace(job->view.id, job);
    waiting_.push_back(job);
    work_added_.notify_one();
  }
  ++job->requests;
  job_ended_.wait_for(lock, options_.answer_within, [&] { return job->view.state != JobState::running; });
  const JobResultPtr result = job->result;
  if (--job->requests == 0) job->result = nullptr;
  if (result) return {result, {}, false, false};
  if (job->view.state == JobState::cancelled) return {nullptr, {}, true, false};
  job->followed = true;
  return {nullptr, job->view.id, false, false};
}

JobResultPtr JobQueue::compute_now(const std::string& key, const Compute& compute) {
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    if (JobResultPtr result = kept(key)) return result;
    ++count_;
  }
  const JobControl nobody_waits{[](double, const std::string&) {}, {}};
  auto result = std::make_shared<const JobResult>(compute(nobody_waits));
  const std::lock_guard<std::mutex> lock(mutex_);
  keep(key, result);
  return result;
}

std::optional<JobView> JobQueue::job(const std::string& id) const {
  const std::lock_guard<std::mutex> lock(mutex_);
  const auto found = jobs_.find(id);
  if (found == jobs_.end()) return std::nullopt;
  return found->second->view;
}

std::optional<JobQueue::JobOutcome> JobQueue::result_of(const std::string& id, const std::string& series) {
  const std::lock_guard<std::mutex> lock(mutex_);
  const auto found = jobs_.find(id);
  if (found == jobs_.end() || found->second->series != series) return std::nullopt;
  JobResultPtr result = kept(found->second->key);
  if (!result) return std::nullopt;
  return JobOutcome{found->second->key, std::move(result)};
}

bool JobQueue::cancel(const std::string& id) {
  JobPtr job;
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    const auto found = jobs_.find(id);
    if (found == jobs_.end()) return false;
    job = found->second;
    if (job->view.state != JobState::running) return true;
    job->view.state = JobState::cancelled;
    job->view.text = "stopped";
    // A later request for the same key starts a new job.
    running_.erase(job->key);
  }
  // Without our lock: what is called by the stop takes locks of its own.
  job->stop.request_stop();
  job_ended_.notify_all();
  return true;
}

std::size_t JobQueue::computed() const {
  const std::lock_guard<std::mutex> lock(mutex_);
  return count_;
}

// The first that waits and whose series is not being computed; null if there is none. With edits in quick succession
// all threads would else compute one report of old revisions.
JobQueue::JobPtr JobQueue::next_job() {
  const auto found = std::ranges::find_if(
      waiting_, [&](const JobPtr& job) { return !running_series_.contains(job->series); });
  if (found == waiting_.end()) return nullptr;
  JobPtr job = std::move(*found);
  waiting_.erase(found);
  return job;
}

void JobQueue::work() {
  give_way();
  std::unique_lock<std::mutex> lock(mutex_);
  for (;;) {
    JobPtr job;
    work_added_.wait(lock, [&] { return ending_ || (job = next_job()) != nullptr; });
    if (ending_) return;
    if (job->view.state != JobState::running) {
      add_ended(job);
      continue;
    }
    job->view.text.clear();
    running_series_.insert(job->series);
    lock.unlock();
    run(job);
    lock.lock();
    running_series_.erase(job->series);
    work_added_.notify_all();
  }
}

void JobQueue::run(const JobPtr& job) {
  JobControl control;
  control.stop = job->stop.get_token();
  control.step = [this, job](double progress, std::string text) {
    JobView view;
    {
      const std::lock_guard<std::mutex> lock(mutex_);
      job->view.progress = progress;
      job->view.text = std::move(text);
      if (!job->followed || job->view.state != JobState::running) return;
      view = job->view;
    }
    if (notify_) notify_(view);
  };
  try {
    finish(job, std::make_shared<const JobResult>(job->compute(control)));
  } catch (const std::bad_alloc&) {
    finish(job, std::make_shared<const JobResult>(no_memory()));
  } catch (const std::exception&) {
    finish(job, nullptr);  // a bug: the job counts as failed, and the program goes on
  }
}

void JobQueue::finish(const JobPtr& job, JobResultPtr result) {
  JobView view;
  bool followed = false;
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    if (job->view.state == JobState::running) {
      job->view.state = result ? JobState::done : JobState::failed;
      job->view.progress = 1.0;
      job->view.text = result ? "ready" : "the program failed";
      running_.erase(job->key);
      if (!result)
        result = std::make_shared<const JobResult>(
            JobResult{500, "application/json",
                      R"({"problems":[{"severity":"error","code":"bug","message":"The program failed )"
                      R"(while it computed this.","remedy":"Report what you did."}]})"});
      job->result = result;
      if (result->status < 500) keep(job->key, result);
    }
    if (job->requests == 0) job->result = nullptr;
    add_ended(job);
    view = job->view;
    followed = job->followed;
  }
  job_ended_.notify_all();
  if (followed && notify_) notify_(view);
}

}  // namespace loomgraft
