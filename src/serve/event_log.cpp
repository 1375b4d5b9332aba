#include "serve/event_log.h"

#include <algorithm>

namespace loomgraft {

void EventLog::publish(Event event) {
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    events_.push_back(std::move(event));
    if (events_.size() > kept) {
      events_.pop_front();
      ++first_;
    }
  }
  changed_.notify_all();
}

std::uint64_t EventLog::end() const {
  const std::lock_guard<std::mutex> lock(mutex_);
  return first_ + events_.size();
}

EventLog::Batch EventLog::after(std::uint64_t& position, std::chrono::milliseconds time) {
  std::unique_lock<std::mutex> lock(mutex_);
  changed_.wait_for(lock, time, [&] { return closed_ || first_ + events_.size() > position; });
  Batch batch;
  batch.closed = closed_;
  batch.missed = position < first_;
  const std::uint64_t from = std::max(position, first_) - first_;
  batch.events.assign(events_.begin() + static_cast<std::ptrdiff_t>(from), events_.end());
  position = first_ + events_.size();
  return batch;
}

void EventLog::close() {
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    closed_ = true;
  }
  changed_.notify_all();
}

}  // namespace loomgraft
