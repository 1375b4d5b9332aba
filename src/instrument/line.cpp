#include "instrument/line.h"

#include <fcntl.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <climits>

#include "base/bug.h"

namespace loomgraft::instrument {
namespace {

constexpr int send_time_ms = 1000;

int in_poll_time(std::chrono::milliseconds time) {
  return static_cast<int>(std::clamp<std::int64_t>(time.count(), 0, INT_MAX));
}

// A connection that the other side closed must not end the program with a signal.
ssize_t write_some(int handle, std::string_view bytes) {
  const ssize_t count = ::send(handle, bytes.data(), bytes.size(), MSG_NOSIGNAL);
  return count < 0 && errno == ENOTSOCK ? ::write(handle, bytes.data(), bytes.size()) : count;
}

}  // namespace

Waker::Waker() {
  if (::pipe2(ends_, O_CLOEXEC | O_NONBLOCK) != 0) bug("no pipe to wake the meter's thread");
}

Waker::~Waker() {
  for (const int end : ends_) ::close(end);
}

void Waker::wake() const {
  // A full pipe wakes as well.
  [[maybe_unused]] const ssize_t written = ::write(ends_[1], "w", 1);
}

void Waker::drain() const {
  char bytes[64];
  while (::read(ends_[0], bytes, sizeof bytes) > 0) {
  }
}

void Waker::wait(std::chrono::milliseconds time) const {
  pollfd waiting{ends_[0], POLLIN, 0};
  ::poll(&waiting, 1, in_poll_time(time));
  drain();
}

Line::~Line() {
  ::close(handle_);
}

bool Line::send(std::string_view bytes) const {
  while (!bytes.empty()) {
    const ssize_t count = write_some(handle_, bytes);
    if (count > 0) {
      bytes.remove_prefix(static_cast<std::size_t>(count));
      continue;
    }
    if (count == 0 || (errno != EAGAIN && errno != EINTR)) return false;
    pollfd ready{handle_, POLLOUT, 0};
    if (::poll(&ready, 1, send_time_ms) <= 0) return false;
  }
  return true;
}

std::optional<std::string> Line::receive(std::chrono::milliseconds time) const {
  pollfd waiting[] = {{handle_, POLLIN, 0}, {waker_.handle(), POLLIN, 0}};
  ::poll(waiting, 2, in_poll_time(time));
  waker_.drain();
  char bytes[4096];
  const ssize_t count = ::read(handle_, bytes, sizeof bytes);
  if (count > 0) return std::string(bytes, static_cast<std::size_t>(count));
  // A serial line without data reads as its end where its driver does not know EAGAIN; a hang-up is the sure sign.
  if (count == 0 && (waiting[0].revents & (POLLIN | POLLHUP | POLLERR)) == 0) return "";
  if (count < 0 && (errno == EAGAIN || errno == EINTR) && (waiting[0].revents & (POLLHUP | POLLERR)) == 0)
    return "";
  return std::nullopt;
}

OpenedLine open_line(const MeterAddress& address, const Waker& waker, std::chrono::milliseconds time) {
  return address.serial ? open_serial(address, waker) : open_tcp(address, waker, time);
}

}  // namespace loomgraft::instrument
