// Every read waits with a deadline that grows with the bytes received, so that neither a silent nor a very slow client can
// hold a thread.
#include "http/guarded_stream.h"

#include <poll.h>

#include <algorithm>
#include <cerrno>
#include <cstring>

namespace loomgraft {
namespace {

using std::chrono::duration_cast;
using std::chrono::milliseconds;

enum class Ready { yes, timeout, ended };

Ready wait_for(int socket, int stopping, short events, milliseconds time) {
  pollfd watched[] = {{socket, events, 0}, {stopping, POLLIN, 0}};
  const int ready = ::poll(watched, 2, static_cast<int>(std::max<milliseconds::rep>(time.count(), 0)));
  if (ready < 0) return errno == EINTR ? Ready::timeout : Ready::ended;
  if ((watched[1].revents & POLLIN) != 0) return Ready::ended;
  return ready == 0 ? Ready::timeout : Ready::yes;
}

}  // namespace

GuardedStream::GuardedStream(Connection& connection, std::string bytes, int stopping,
                             const StreamLimits& limits)
    : connection_(connection),
      stopping_(stopping),
      limits_(limits),
      bytes_(std::move(bytes)),
      started_(Clock::now()) {}

GuardedStream::Clock::time_point GuardedStream::deadline() const {
  const std::size_t owed = body_bytes_ * 1000 / std::max<std::size_t>(limits_.min_rate, 1);
  return started_ + limits_.body_grace + milliseconds(static_cast<milliseconds::rep>(owed));
}

// Waits for more of the body.
bool GuardedStream::fill() {
  char buffer[8192];
  std::size_t count = 0;
  while (!broken_) {
    const auto left = duration_cast<milliseconds>(deadline() - Clock::now());
    // A deadline that has passed refuses even what is there already: a trickle never runs into a timeout.
    const Transfer got =
        left.count() <= 0 ? Transfer::none_yet : connection_.receive(buffer, sizeof buffer, count);
    if (got == Transfer::some) {
      body_bytes_ += count;
      bytes_.assign(buffer, count);
      begin_ = 0;
      return true;
    }
    const Ready ready = left.count() <= 0 || got == Transfer::ended
                            ? Ready::timeout
                            : wait_for(connection_.socket(), stopping_, connection_.wants(), left);
    if (ready == Ready::timeout && got != Transfer::ended) refuse("408 Request Timeout");
    broken_ = ready != Ready::yes;
  }
  return false;
}

ssize_t GuardedStream::read(char* into, size_t size) {
  if (broken_ || (begin_ == bytes_.size() && !fill())) return -1;
  const std::size_t count = std::min(size, bytes_.size() - begin_);
  std::memcpy(into, bytes_.data() + begin_, count);
  begin_ += count;
  return static_cast<ssize_t>(count);
}

ssize_t GuardedStream::write(const char* bytes, size_t size) {
  answered_ = true;
  std::size_t sent = 0;
  const auto owed = static_cast<milliseconds::rep>(size * 1000 / std::max<std::size_t>(limits_.min_rate, 1));
  const Clock::time_point last = Clock::now() + limits_.write_time + milliseconds(owed);
  while (sent < size) {
    std::size_t count = 0;
    const Transfer passed = connection_.send(bytes + sent, size - sent, count);
    if (passed == Transfer::some) {
      sent += count;
      continue;
    }
    // What is being answered while the server ends is still sent, so the stop is not looked at here.
    const auto left = std::min(limits_.write_time, duration_cast<milliseconds>(last - Clock::now()));
    if (broken_ || passed == Transfer::ended || left.count() <= 0 ||
        wait_for(connection_.socket(), -1, connection_.wants(), left) != Ready::yes) {
      broken_ = true;
      return -1;
    }
  }
  return static_cast<ssize_t>(sent);
}

void GuardedStream::refuse(const char* status) {
  if (answered_) return;
  answered_ = true;
  const std::string answer =
      std::string("HTTP/1.1 ") + status + "\r\nConnection: close\r\nContent-Length: 0\r\n\r\n";
  // Best effort: a side that does not take this either is cut off all the same.
  std::size_t sent = 0;
  connection_.send(answer.data(), answer.size(), sent);
}

bool GuardedStream::is_readable() const {
  return !broken_ && (begin_ < bytes_.size() || connection_.holds_bytes() ||
                      wait_for(connection_.socket(), stopping_, POLLIN, milliseconds(0)) == Ready::yes);
}

bool GuardedStream::is_writable() const {
  if (broken_ || wait_for(connection_.socket(), -1, POLLOUT, limits_.write_time) != Ready::yes) return false;
  // A side that has hung up would take one more piece before it is noticed.
  return !connection_.hung_up();
}

void GuardedStream::get_remote_ip_and_port(std::string& ip, int& port) const {
  ip = connection_.remote();
  port = connection_.remote_port();
}

void GuardedStream::get_local_ip_and_port(std::string& ip, int& port) const {
  ip = connection_.local_address(port);
}

}  // namespace loomgraft
