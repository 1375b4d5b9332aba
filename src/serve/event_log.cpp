#include "serve/event_log.h"

#include <algorithm>

namespace loomgraft {

void EventLog::publish(Event event) {
  {
    const std::lock_guard<std::mutex> lock(turn_);
    events_.push_back(std::move(event));
    if (events_.size() > kept) {
      events_.pop_front();
      ++first_;
    }
  }
  news_.notify_all();
}

std::uint64_t EventLog::end() const {
  const std::lock_guard<std::mutex> lock(turn_);
  return first_ + events_.size();
}

EventLog::Batch EventLog::after(std::uint64_t& place, std::chrono::milliseconds time) {
  std::unique_lock<std::mutex> lock(turn_);
  news_.wait_for(lock, time, [&] { return closed_ || first_ + events_.size() > place; });
  Batch batch;
  batch.closed = closed_;
  batch.missed = place < first_;
  const std::uint64_t from = std::max(place, first_) - first_;
  batch.events.assign(events_.begin() + static_cast<std::ptrdiff_t>(from), events_.end());
  place = first_ + events_.size();
  return batch;
}

void EventLog::close() {
  {
    const std::lock_guard<std::mutex> lock(turn_);
    closed_ = true;
  }
  news_.notify_all();
}

}  // namespace loomgraft
