// The body of one request and its answer, with limits on the time that a client can use.
//
// Model   the head came whole already (head_poller.h); the body must keep up `min_rate` after `body_grace`. What we send
//         must be taken within `write_time` a piece.
// Gives   to the HTTP library a Stream; a bound that is passed ends the stream for good: every further read
//         fails, and the other side gets a short answer (408) where nothing was sent yet
// Fails   never throws; a broken connection reads as ended
#pragma once

#include <httplib.h>

#include <chrono>
#include <string>

#include "http/connection.h"

namespace loomgraft {

struct StreamLimits {
  std::chrono::milliseconds idle{5000};  // between requests of one connection
  std::chrono::milliseconds head_time{10000};
  std::chrono::milliseconds body_grace{10000};
  std::chrono::milliseconds write_time{10000};
  std::size_t head_bytes = std::size_t{16} << 10U;
  std::size_t min_rate = std::size_t{16} << 10U;  // bytes of a body a second
};

class GuardedStream final : public httplib::Stream {
 public:
  // `bytes` came already: the head and what followed it. `stopping` becomes readable when the server ends.
  GuardedStream(Connection& connection, std::string bytes, int stopping, const StreamLimits& limits);

  bool broken() const { return broken_; }
  std::string unread() const { return bytes_.substr(begin_); }  // of the next request

  bool is_readable() const override;
  bool is_writable() const override;
  ssize_t read(char* into, size_t size) override;
  ssize_t write(const char* bytes, size_t size) override;
  using httplib::Stream::write;
  void get_remote_ip_and_port(std::string& ip, int& port) const override;
  void get_local_ip_and_port(std::string& ip, int& port) const override;
  socket_t socket() const override { return connection_.socket(); }

 private:
  using Clock = std::chrono::steady_clock;

  bool fill();
  Clock::time_point deadline() const;
  void refuse(const char* status);

  Connection& connection_;
  int stopping_;
  StreamLimits limits_;
  std::string bytes_;
  std::size_t begin_ = 0;
  Clock::time_point started_;
  std::size_t body_bytes_ = 0;
  bool answered_ = false;
  bool broken_ = false;
};

}  // namespace loomgraft
