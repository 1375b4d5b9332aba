// Connections between requests: one thread waits for all of them, so that neither idle ones nor slow heads hold a thread.
//
// Model   a guest is a connection with the bytes that it sent so far. When its head is whole it is handed on, and may be
//         given back for the next request. One that sends nothing for `idle`, or does not finish a head within
//         `head_time` of its first byte (408), or sends more than `head_bytes` (431) or what is no head (400), is closed
// Needs   `ready` does not wait
// Gives   each guest to exactly one of: ready, closed
// Cost    a few hundred bytes for a connection
#pragma once

#include <chrono>
#include <functional>
#include <list>
#include <memory>
#include <mutex>
#include <string>
#include <thread>

#include "http/connection.h"
#include "http/guarded_stream.h"

namespace loomgraft {

struct Guest {
  std::unique_ptr<Connection> connection;
  std::string bytes;           // received and not used yet
  std::shared_ptr<void> slot;  // its place among the connections that are allowed
  bool limited = false;        // of another device, whose connections are limited
  bool known = false;          // a paired device has used it
};

class HeadPoller {
 public:
  using Ready = std::function<void(Guest)>;

  HeadPoller(const StreamLimits& limits, Ready ready);
  HeadPoller(const HeadPoller&) = delete;
  HeadPoller& operator=(const HeadPoller&) = delete;
  ~HeadPoller();  // closes all

  void add(Guest guest);
  // Closes the one that has waited longest of those that no paired device has used; `remote` empty: of any address.
  // False if there is none.
  bool drop_unknown(const std::string& remote);

 private:
  using Clock = std::chrono::steady_clock;
  struct Waiting {
    Guest guest;
    Clock::time_point since;  // of its first byte, or of its arrival
    int socket = -1;
  };
  using Place = std::list<Waiting>::iterator;

  void run();
  void clear_wake() const;
  void read_from(Place at, std::list<Guest>& whole);
  void watch(const Waiting& waiting, bool is_new) const;
  void close_late(Clock::time_point now);
  void close(Place at, const char* status);
  int wait_ms(Clock::time_point now) const;
  Clock::time_point deadline(const Waiting& waiting) const;

  StreamLimits limits_;
  Ready ready_;
  int poll_ = -1;
  int wake_ = -1;
  bool ending_ = false;
  std::mutex mutex_;
  std::list<Waiting> waiting_;
  std::thread thread_;
};

}  // namespace loomgraft
