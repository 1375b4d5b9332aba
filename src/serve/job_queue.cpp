#include "serve/job_queue.h"

namespace loomgraft {
namespace {
constexpr std::size_t ended_jobs_kept = 256;
}  // namespace

struct ReportDesk::Job {
  std::string key;
  std::string line;
  JobView view;
  Compute compute;
  std::stop_source stop;
  bool told = false;  // someone waits for it by its id
  FinishedPtr finished;
};

ReportDesk::ReportDesk(const DeskOptions& options, Tell tell) : options_(options), tell_(std::move(tell)) {
  for (std::size_t i = 0; i < options_.threads; ++i) threads_.emplace_back([this] { work(); });
}

ReportDesk::~ReportDesk() {
  std::vector<std::stop_source> stopped;
  {
    const std::lock_guard<std::mutex> lock(turn_);
    ending_ = true;
    for (const auto& [key, job] : running_) job->view.state = JobState::cancelled;
    for (const auto& [id, job] : jobs_) stopped.push_back(job->stop);
  }
  for (std::stop_source& one : stopped) one.request_stop();
  work_there_.notify_all();
  job_ended_.notify_all();
  for (std::thread& thread : threads_) thread.join();
}

FinishedPtr ReportDesk::kept(const std::string& key) {
  const auto found = on_shelf_.find(key);
  if (found == on_shelf_.end()) return nullptr;
  shelf_.splice(shelf_.begin(), shelf_, found->second);
  return found->second->second;
}

void ReportDesk::keep(const std::string& key, const FinishedPtr& finished) {
  const auto cost = [](const std::string& k, const FinishedPtr& f) {
    return 2 * k.size() + f->body.size() + 256;
  };
  if (on_shelf_.contains(key) || cost(key, finished) > options_.most_bytes) return;
  shelf_.emplace_front(key, finished);
  on_shelf_[key] = shelf_.begin();
  bytes_ += cost(key, finished);
  while (bytes_ > options_.most_bytes) {
    bytes_ -= cost(shelf_.back().first, shelf_.back().second);
    on_shelf_.erase(shelf_.back().first);
    shelf_.pop_back();
  }
}

void ReportDesk::overtake(const std::string& line) {
  std::erase_if(waiting_, [&](const JobPtr& job) {
    if (job->line != line || job->view.state != JobState::running) return false;
    job->view.state = JobState::done;
    job->view.text = "overtaken by a newer revision";
    running_.erase(job->key);
    ended_.push_back(job);
    return true;
  });
  job_ended_.notify_all();
}

ReportDesk::Asked ReportDesk::ask(const std::string& key, const std::string& line, const std::string& owner,
                                  Compute compute) {
  std::unique_lock<std::mutex> lock(turn_);
  if (FinishedPtr finished = kept(key)) return {std::move(finished), {}, false, false};
  JobPtr job;
  if (const auto found = running_.find(key); found != running_.end()) {
    job = found->second;
  } else {
    overtake(line);
    if (waiting_.size() >= options_.most_waiting) return {nullptr, {}, false, true};
    job = std::make_shared<Job>();
    job->key = key;
    job->line = line;
    job->view.id = "j" + std::to_string(++count_);
    job->view.owner = owner;
    job->view.text = "waiting";
    job->compute = std::move(compute);
    running_.emplace(key, job);
    jobs_.emplace(job->view.id, job);
    waiting_.push_back(job);
    work_there_.notify_one();
  }
  job_ended_.wait_for(lock, options_.patience, [&] { return job->view.state != JobState::running; });
  if (job->finished) return {job->finished, {}, false, false};
  if (job->view.state == JobState::cancelled) return {nullptr, {}, true, false};
  job->told = true;
  return {nullptr, job->view.id, false, false};
}

FinishedPtr ReportDesk::here(const std::string& key, const Compute& compute) {
  {
    const std::lock_guard<std::mutex> lock(turn_);
    if (FinishedPtr finished = kept(key)) return finished;
    ++count_;
  }
  const JobControl nobody_waits{[](double, const std::string&) {}, {}};
  auto finished = std::make_shared<const Finished>(compute(nobody_waits));
  const std::lock_guard<std::mutex> lock(turn_);
  keep(key, finished);
  return finished;
}

std::optional<JobView> ReportDesk::job(const std::string& id) const {
  const std::lock_guard<std::mutex> lock(turn_);
  const auto found = jobs_.find(id);
  if (found == jobs_.end()) return std::nullopt;
  return found->second->view;
}

bool ReportDesk::cancel(const std::string& id) {
  JobPtr job;
  {
    const std::lock_guard<std::mutex> lock(turn_);
    const auto found = jobs_.find(id);
    if (found == jobs_.end()) return false;
    job = found->second;
    if (job->view.state != JobState::running) return true;
    job->view.state = JobState::cancelled;
    job->view.text = "stopped";
    // Who asks for the same again starts anew.
    running_.erase(job->key);
  }
  // Outside of our turn: what listens to the stop takes locks of its own.
  job->stop.request_stop();
  job_ended_.notify_all();
  return true;
}

std::size_t ReportDesk::computed() const {
  const std::lock_guard<std::mutex> lock(turn_);
  return count_;
}

void ReportDesk::work() {
  std::unique_lock<std::mutex> lock(turn_);
  for (;;) {
    work_there_.wait(lock, [this] { return ending_ || !waiting_.empty(); });
    if (ending_) return;
    const JobPtr job = std::move(waiting_.front());
    waiting_.pop_front();
    if (job->view.state == JobState::running) {
      job->view.text = "computing";
      lock.unlock();
      run(job);
      lock.lock();
    } else {
      ended_.push_back(job);
    }
  }
}

void ReportDesk::run(const JobPtr& job) {
  JobControl control;
  control.stop = job->stop.get_token();
  control.step = [this, job](double progress, std::string words) {
    JobView view;
    {
      const std::lock_guard<std::mutex> lock(turn_);
      job->view.progress = progress;
      job->view.text = std::move(words);
      if (!job->told || job->view.state != JobState::running) return;
      view = job->view;
    }
    if (tell_) tell_(view);
  };
  try {
    finish(job, std::make_shared<const Finished>(job->compute(control)));
  } catch (const std::exception&) {
    finish(job, nullptr);  // a bug, or no memory left: told as failed, and the program goes on
  }
}

void ReportDesk::finish(const JobPtr& job, FinishedPtr finished) {
  JobView view;
  bool told = false;
  {
    const std::lock_guard<std::mutex> lock(turn_);
    if (job->view.state == JobState::running) {
      job->view.state = finished ? JobState::done : JobState::failed;
      job->view.progress = 1.0;
      job->view.text = finished ? "ready" : "the program made a mistake";
      running_.erase(job->key);
      if (!finished)
        finished = std::make_shared<const Finished>(
            Finished{500, "application/json",
                     R"({"problems":[{"severity":"error","code":"bug","message":"The program made a mistake )"
                     R"(while it computed this.","remedy":"Report what you did."}]})"});
      job->finished = finished;
      if (finished->status < 500) keep(job->key, finished);
    }
    job->compute = nullptr;
    ended_.push_back(job);
    if (ended_.size() > ended_jobs_kept) {
      jobs_.erase(ended_.front()->view.id);
      ended_.pop_front();
    }
    view = job->view;
    told = job->told;
  }
  job_ended_.notify_all();
  if (told && tell_) tell_(view);
}

}  // namespace loomgraft
