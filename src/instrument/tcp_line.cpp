// A TCP connection to a meter.
#include <fcntl.h>
#include <netdb.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "instrument/line.h"

namespace loomgraft::instrument {
namespace {

struct Addresses {
  addrinfo* first = nullptr;
  Addresses() = default;
  Addresses(const Addresses&) = delete;
  Addresses& operator=(const Addresses&) = delete;
  ~Addresses() {
    if (first) ::freeaddrinfo(first);
  }
};

// Zero where the connection stands, else the number of the error.
int connect_within(int handle, const addrinfo& to, const Waker& waker, std::chrono::milliseconds time) {
  if (::connect(handle, to.ai_addr, to.ai_addrlen) == 0) return 0;
  if (errno != EINPROGRESS) return errno;
  pollfd waiting[] = {{handle, POLLOUT, 0}, {waker.handle(), POLLIN, 0}};
  ::poll(waiting, 2, static_cast<int>(time.count()));
  if (waiting[0].revents == 0) return ETIMEDOUT;
  int error = 0;
  socklen_t size = sizeof error;
  if (::getsockopt(handle, SOL_SOCKET, SO_ERROR, &error, &size) != 0) return errno;
  return error;
}

}  // namespace

OpenedLine open_tcp(const MeterAddress& address, const Waker& waker, std::chrono::milliseconds time) {
  addrinfo wanted{};
  wanted.ai_socktype = SOCK_STREAM;
  Addresses found;
  const int looked_up =
      ::getaddrinfo(address.host.c_str(), std::to_string(address.port).c_str(), &wanted, &found.first);
  if (looked_up != 0) return tl::unexpected(std::string(::gai_strerror(looked_up)));
  int error = EADDRNOTAVAIL;
  for (const addrinfo* to = found.first; to; to = to->ai_next) {
    const int handle = ::socket(to->ai_family, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, to->ai_protocol);
    if (handle < 0) continue;
    auto line = std::make_unique<Line>(handle, waker);
    error = connect_within(handle, *to, waker, time);
    if (error != 0) continue;
    const int on = 1;
    ::setsockopt(handle, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
    return line;
  }
  return tl::unexpected(std::string(std::strerror(error)));
}

}  // namespace loomgraft::instrument
