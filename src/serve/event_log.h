// What happened to one graft, for all who listen.
//
// Model   a bounded run of events in order; each listener keeps its own place in it
// Gives   every event after a place, once; a listener that fell behind what is kept is told so, and catches
//         up from the graft file
// Cost    a listener waits without taking time; events beyond `kept` are dropped from the front
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
  std::string name;           // revision, reading, photo, tick, job
  std::string data;           // JSON
};

class EventLog {
 public:
  static constexpr std::size_t kept = 1000;

  void publish(Event event);
  // The place behind the last event.
  std::uint64_t end() const;

  struct Batch {
    std::vector<Event> events;
    bool missed = false;  // events before these are gone
    bool closed = false;
  };
  // Waits until there is something after `place`, the time is up, or the log is closed; moves `place` on.
  Batch after(std::uint64_t& place, std::chrono::milliseconds time);
  void close();

 private:
  mutable std::mutex turn_;
  std::condition_variable news_;
  std::deque<Event> events_;
  std::uint64_t first_ = 0;  // place of events_[0]
  bool closed_ = false;
};

}  // namespace loomgraft
