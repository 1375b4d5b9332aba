#include "http/head_poller.h"

#include <poll.h>
#include <sys/epoll.h>
#include <sys/eventfd.h>
#include <unistd.h>

#include <algorithm>
#include <array>

#include "http/request_head.h"

namespace loomgraft {
namespace {

constexpr int longest_wait_ms = 1000;

std::uint32_t epoll_events(short wants) {
  return wants == POLLOUT ? EPOLLOUT : EPOLLIN;
}

}  // namespace

HeadPoller::HeadPoller(const StreamLimits& limits, Ready ready)
    : limits_(limits),
      ready_(std::move(ready)),
      poll_(::epoll_create1(EPOLL_CLOEXEC)),
      wake_(::eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK)) {
  epoll_event event{EPOLLIN, {}};
  event.data.fd = wake_;
  ::epoll_ctl(poll_, EPOLL_CTL_ADD, wake_, &event);
  thread_ = std::thread([this] { run(); });
}

HeadPoller::~HeadPoller() {
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    ending_ = true;
  }
  const std::uint64_t one = 1;
  [[maybe_unused]] const ssize_t woken = ::write(wake_, &one, sizeof one);
  thread_.join();
  waiting_.clear();
  ::close(poll_);
  ::close(wake_);
}

void HeadPoller::watch(const Waiting& waiting, bool is_new) const {
  epoll_event event{epoll_events(waiting.guest.connection->wants()), {}};
  event.data.fd = waiting.socket;
  ::epoll_ctl(poll_, is_new ? EPOLL_CTL_ADD : EPOLL_CTL_MOD, waiting.socket, &event);
}

void HeadPoller::add(Guest guest) {
  std::list<Guest> whole;
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    if (ending_) return;
    const int socket = guest.connection->socket();
    waiting_.push_back({std::move(guest), Clock::now(), socket});
    watch(waiting_.back(), true);
    // The next request may be here already, whole or in part, where no poll would show it.
    read_from(std::prev(waiting_.end()), whole);
  }
  for (Guest& one : whole) ready_(std::move(one));
  // The thread may be waiting for longer than this one is allowed.
  const std::uint64_t one = 1;
  [[maybe_unused]] const ssize_t woken = ::write(wake_, &one, sizeof one);
}

bool HeadPoller::drop_unknown(const std::string& remote) {
  const std::lock_guard<std::mutex> lock(mutex_);
  const auto found = std::ranges::find_if(waiting_, [&](const Waiting& one) {
    return !one.guest.known && one.guest.limited &&
           (remote.empty() || one.guest.connection->remote() == remote);
  });
  if (found == waiting_.end()) return false;
  close(found, nullptr);
  return true;
}

// With the mutex held. Best effort: a side that does not take the answer is cut off all the same.
void HeadPoller::close(Place at, const char* status) {
  ::epoll_ctl(poll_, EPOLL_CTL_DEL, at->socket, nullptr);
  if (status) {
    const std::string answer =
        std::string("HTTP/1.1 ") + status + "\r\nConnection: close\r\nContent-Length: 0\r\n\r\n";
    std::size_t count = 0;
    at->guest.connection->send(answer.data(), answer.size(), count);
  }
  waiting_.erase(at);
}

// With the mutex held.
void HeadPoller::read_from(Place at, std::list<Guest>& whole) {
  Guest& guest = at->guest;
  std::array<char, 8192> buffer;
  for (;;) {
    const std::size_t size = head_size(guest.bytes);
    if (size > limits_.head_bytes || (size == 0 && guest.bytes.size() > limits_.head_bytes))
      return close(at, "431 Request Header Fields Too Large");
    if (size > 0) {
      if (!is_well_formed_head(std::string_view(guest.bytes).substr(0, size)))
        return close(at, "400 Bad Request");
      ::epoll_ctl(poll_, EPOLL_CTL_DEL, at->socket, nullptr);
      whole.push_back(std::move(guest));
      waiting_.erase(at);
      return;
    }
    std::size_t count = 0;
    const Transfer got = guest.connection->receive(buffer.data(), buffer.size(), count);
    if (got == Transfer::ended) return close(at, nullptr);
    if (got == Transfer::none_yet) return watch(*at, false);
    if (guest.bytes.empty()) at->since = Clock::now();
    guest.bytes.append(buffer.data(), count);
  }
}

HeadPoller::Clock::time_point HeadPoller::deadline(const Waiting& waiting) const {
  return waiting.since + (waiting.guest.bytes.empty() ? limits_.idle : limits_.head_time);
}

void HeadPoller::close_late(Clock::time_point now) {
  for (auto at = waiting_.begin(); at != waiting_.end();) {
    const auto next = std::next(at);
    if (deadline(*at) <= now) close(at, at->guest.bytes.empty() ? nullptr : "408 Request Timeout");
    at = next;
  }
}

int HeadPoller::wait_ms(Clock::time_point now) const {
  std::chrono::milliseconds::rep wait = longest_wait_ms;
  for (const Waiting& one : waiting_)
    wait = std::min(wait,
                    std::chrono::duration_cast<std::chrono::milliseconds>(deadline(one) - now).count() + 1);
  return static_cast<int>(std::max<std::chrono::milliseconds::rep>(wait, 0));
}

void HeadPoller::clear_wake() const {
  std::uint64_t times = 0;
  [[maybe_unused]] const ssize_t count = ::read(wake_, &times, sizeof times);
}

void HeadPoller::run() {
  std::array<epoll_event, 64> events{};
  int wait = longest_wait_ms;
  for (;;) {
    const int count = ::epoll_wait(poll_, events.data(), static_cast<int>(events.size()), wait);
    std::list<Guest> whole;
    {
      const std::lock_guard<std::mutex> lock(mutex_);
      if (ending_) return;
      for (int i = 0; i < count; ++i) {
        const int socket = events[static_cast<std::size_t>(i)].data.fd;
        if (socket == wake_) clear_wake();
        const auto at = std::ranges::find(waiting_, socket, &Waiting::socket);
        if (at != waiting_.end()) read_from(at, whole);
      }
      close_late(Clock::now());
      wait = wait_ms(Clock::now());
    }
    for (Guest& one : whole) ready_(std::move(one));
  }
}

}  // namespace loomgraft
