#include "serve/idle_keeper.h"

#include <chrono>

#include "http/clock.h"
#include "serve/open_grafts.h"
#include "store/copies.h"

namespace loomgraft {
namespace {

constexpr std::int64_t idle_ms = 1000;
constexpr std::chrono::milliseconds look_every{250};

std::int64_t steady_ms() {
  const auto since = std::chrono::steady_clock::now().time_since_epoch();
  return std::chrono::duration_cast<std::chrono::milliseconds>(since).count();
}

}  // namespace

IdleKeeper::IdleKeeper(List list, bool dated_copies)
    : list_(std::move(list)), dated_copies_(dated_copies), thread_([this] { run(); }) {}

IdleKeeper::~IdleKeeper() {
  stop();
}

void IdleKeeper::stop() {
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    ending_ = true;
  }
  wake_.notify_all();
  if (thread_.joinable()) thread_.join();
}

void IdleKeeper::keep_now() {
  look(0);
}

void IdleKeeper::run() {
  std::unique_lock<std::mutex> lock(mutex_);
  while (!wake_.wait_for(lock, look_every, [this] { return ending_; })) {
    lock.unlock();
    look(idle_ms);
    lock.lock();
  }
}

void IdleKeeper::look(std::int64_t idle) {
  const std::lock_guard<std::mutex> lock(looking_);
  const std::int64_t now = steady_ms();
  std::map<std::string, Seen> seen;
  for (const OpenGraftPtr& graft : list_()) {
    Seen& known = seen[graft->name];
    const auto before = seen_.find(graft->name);
    if (before != seen_.end() && before->second.graft.lock() == graft) known = before->second;
    known.graft = graft;
    const auto sequence = graft->reader.last_sequence();
    if (!sequence) continue;
    if (*sequence != known.sequence) {
      known.sequence = *sequence;
      known.since_ms = now;
      known.kept = false;
    }
    if (!known.kept && now - known.since_ms >= idle) keep(*graft, known);
  }
  seen_ = std::move(seen);
}

void IdleKeeper::keep(OpenGraft& graft, Seen& seen) const {
  if (graft.writer.access() == Access::read) {
    seen.kept = true;
    return;
  }
  const auto settled = graft.writer.settle();
  seen.kept = settled && *settled;
  if (seen.kept && dated_copies_) (void)make_copy_if_due(graft.writer.path(), time_now());
}

}  // namespace loomgraft
