// Every read waits with a deadline: a fixed one for the head, one that grows with the bytes received for the body. So
// neither a silent nor a very slow client can hold a thread.
#include "http/guarded_stream.h"

#include <netdb.h>
#include <poll.h>
#include <sys/socket.h>

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

void split_address(const sockaddr_storage& address, socklen_t length, std::string& ip, int& port) {
  char host[NI_MAXHOST] = {};
  char service[NI_MAXSERV] = {};
  if (::getnameinfo(reinterpret_cast<const sockaddr*>(&address), length, host, sizeof host, service,
                    sizeof service, NI_NUMERICHOST | NI_NUMERICSERV) != 0)
    return;
  ip = host;
  port = static_cast<int>(std::strtol(service, nullptr, 10));
}

}  // namespace

bool GuardedStream::next_request() {
  if (broken_) return false;
  in_head_ = true;
  head_bytes_ = line_bytes_ = body_bytes_ = 0;
  answered_ = false;
  if (begin_ == end_ && wait_for(socket_, stopping_, POLLIN, limits_.idle) != Ready::yes) return false;
  started_ = Clock::now();
  return begin_ < end_ || fill();
}

GuardedStream::Clock::time_point GuardedStream::deadline() const {
  if (in_head_) return started_ + limits_.head_time;
  const std::size_t owed = body_bytes_ * 1000 / std::max<std::size_t>(limits_.min_rate, 1);
  return started_ + limits_.body_grace + milliseconds(static_cast<milliseconds::rep>(owed));
}

bool GuardedStream::fill() {
  if (broken_) return false;
  const auto left = duration_cast<milliseconds>(deadline() - Clock::now());
  // A deadline that has passed refuses even what is there already: a trickle never runs into a timeout.
  const Ready ready = left.count() <= 0 ? Ready::timeout : wait_for(socket_, stopping_, POLLIN, left);
  if (ready == Ready::timeout) refuse("408 Request Timeout");
  if (ready != Ready::yes) {
    broken_ = true;
    return false;
  }
  const ssize_t count = ::recv(socket_, buffer_, sizeof buffer_, 0);
  if (count <= 0) {
    broken_ = true;
    return false;
  }
  begin_ = 0;
  end_ = static_cast<std::size_t>(count);
  return true;
}

void GuardedStream::count_head(const char* bytes, std::size_t size) {
  for (std::size_t i = 0; i < size; ++i) {
    ++head_bytes_;
    if (bytes[i] == '\r') continue;
    if (bytes[i] != '\n') {
      ++line_bytes_;
      continue;
    }
    if (line_bytes_ == 0 && head_bytes_ > 2) in_head_ = false;
    line_bytes_ = 0;
  }
  if (head_bytes_ > limits_.head_bytes) {
    refuse("431 Request Header Fields Too Large");
    broken_ = true;
  }
}

ssize_t GuardedStream::read(char* into, size_t size) {
  if (broken_ || (begin_ == end_ && !fill())) return -1;
  const std::size_t count = std::min(size, end_ - begin_);
  std::memcpy(into, buffer_ + begin_, count);
  begin_ += count;
  if (in_head_) {
    count_head(into, count);
    if (broken_) return -1;
  } else {
    body_bytes_ += count;
  }
  return static_cast<ssize_t>(count);
}

ssize_t GuardedStream::write(const char* bytes, size_t size) {
  answered_ = true;
  std::size_t sent = 0;
  const auto owed = static_cast<milliseconds::rep>(size * 1000 / std::max<std::size_t>(limits_.min_rate, 1));
  const Clock::time_point last = Clock::now() + limits_.write_time + milliseconds(owed);
  while (sent < size) {
    // What is being answered while the server ends is still sent, so the stop is not looked at here.
    const auto left = std::min(limits_.write_time, duration_cast<milliseconds>(last - Clock::now()));
    if (broken_ || left.count() <= 0 || wait_for(socket_, -1, POLLOUT, left) != Ready::yes) {
      broken_ = true;
      return -1;
    }
    const ssize_t count = ::send(socket_, bytes + sent, size - sent, MSG_NOSIGNAL | MSG_DONTWAIT);
    if (count < 0 && (errno == EAGAIN || errno == EINTR)) continue;
    if (count <= 0) {
      broken_ = true;
      return -1;
    }
    sent += static_cast<std::size_t>(count);
  }
  return static_cast<ssize_t>(sent);
}

void GuardedStream::refuse(const char* status) {
  if (answered_) return;
  answered_ = true;
  const std::string answer =
      std::string("HTTP/1.1 ") + status + "\r\nConnection: close\r\nContent-Length: 0\r\n\r\n";
  // Best effort: a side that does not take this either is cut off all the same.
  [[maybe_unused]] const ssize_t sent =
      ::send(socket_, answer.data(), answer.size(), MSG_NOSIGNAL | MSG_DONTWAIT);
}

bool GuardedStream::is_readable() const {
  return !broken_ && (begin_ < end_ || wait_for(socket_, stopping_, POLLIN, milliseconds(0)) == Ready::yes);
}

bool GuardedStream::is_writable() const {
  if (broken_ || wait_for(socket_, -1, POLLOUT, limits_.write_time) != Ready::yes) return false;
  // A side that has hung up would take one more piece before it is noticed.
  char byte = 0;
  return ::recv(socket_, &byte, 1, MSG_PEEK | MSG_DONTWAIT) != 0;
}

void GuardedStream::get_remote_ip_and_port(std::string& ip, int& port) const {
  sockaddr_storage address{};
  socklen_t length = sizeof address;
  if (::getpeername(socket_, reinterpret_cast<sockaddr*>(&address), &length) == 0)
    split_address(address, length, ip, port);
}

void GuardedStream::get_local_ip_and_port(std::string& ip, int& port) const {
  sockaddr_storage address{};
  socklen_t length = sizeof address;
  if (::getsockname(socket_, reinterpret_cast<sockaddr*>(&address), &length) == 0)
    split_address(address, length, ip, port);
}

}  // namespace loomgraft
