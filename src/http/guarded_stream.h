// One connection, with limits on the time and memory that a client can use.
//
// Model   a request has a head, which must be whole within `head_time` of its first byte and no larger than
//         `head_bytes`, and a body, which must keep up `min_rate` after `body_grace`. What we send must be
//         taken within `write_time` a piece.
// Gives   to the HTTP library a Stream; a bound that is passed ends the stream for good: every further read
//         fails, and the other side gets a short answer (408, 431) where nothing was sent yet
// Fails   never throws; a broken connection reads as ended
#pragma once

#include <httplib.h>

#include <chrono>
#include <string>

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
  // `stopping` becomes readable when the server ends.
  GuardedStream(int socket, int stopping, const StreamLimits& limits)
      : socket_(socket), stopping_(stopping), limits_(limits) {}

  // Waits for the first byte of a request; false: none came, or the server ends.
  bool next_request();
  bool broken() const { return broken_; }

  bool is_readable() const override;
  bool is_writable() const override;
  ssize_t read(char* into, size_t size) override;
  ssize_t write(const char* bytes, size_t size) override;
  using httplib::Stream::write;
  void get_remote_ip_and_port(std::string& ip, int& port) const override;
  void get_local_ip_and_port(std::string& ip, int& port) const override;
  socket_t socket() const override { return socket_; }

 private:
  using Clock = std::chrono::steady_clock;

  bool fill();
  Clock::time_point deadline() const;
  void count_head(const char* bytes, std::size_t size);
  void refuse(const char* status);

  int socket_;
  int stopping_;
  StreamLimits limits_;
  char buffer_[8192] = {};
  std::size_t begin_ = 0;
  std::size_t end_ = 0;
  Clock::time_point started_;
  bool in_head_ = true;
  std::size_t head_bytes_ = 0;
  std::size_t line_bytes_ = 0;  // of the line being read, without its end
  std::size_t body_bytes_ = 0;
  bool answered_ = false;
  bool broken_ = false;
};

}  // namespace loomgraft
