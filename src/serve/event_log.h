// The recent events of one graft, for all event streams.
//
// Model   a bounded list of events in order; each stream keeps its own position in it
// Gives   every event after a position, once; `missed` for a stream that fell behind the oldest kept event, which
//         then reads the rest from the graft file
// Cost    waiting takes no processor time; only the newest `kept` events are stored
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <deque>
#include <mutex>
#include <string>
#include <vector>

namespace loomgraft {

struct Event {
  std::int64_t sequence = 0;  // of the graft file; 0 where nothing was written (the step of a job)
  std::string name;           // revision, reading, photo, tick, job, meter
  std::string data;           // JSON
};

class EventLog {
 public:
  static constexpr std::size_t kept = 1000;

  void publish(Event event);
  // The position behind the last event.
  std::uint64_t end() const;

  struct Batch {
    std::vector<Event> events;
    bool missed = false;  // events before these were dropped
    bool closed = false;
  };
  // Waits until there is an event after `position`, the time is up, or the log is closed; advances `position`.
  Batch after(std::uint64_t& position, std::chrono::milliseconds time);
  void close();

 private:
  mutable std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<Event> events_;
  std::uint64_t first_ = 0;  // position of events_[0]
  bool closed_ = false;
};

}  // namespace loomgraft
