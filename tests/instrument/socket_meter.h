// The simulated meter on a socket of this computer.
#pragma once

#include <arpa/inet.h>
#include <gtest/gtest.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <string>
#include <thread>

#include "tests/instrument/simulated_meter.h"

namespace loomgraft {

// Reads commands from a handle and writes what the meter answers, until the other side or the test ends it.
// To a socket without the signal that a closed one brings, or to a pseudo-terminal.
inline bool wrote(int handle, const std::string& text) {
  if (::send(handle, text.data(), text.size(), MSG_NOSIGNAL) >= 0) return true;
  return errno == ENOTSOCK && ::write(handle, text.data(), text.size()) >= 0;
}

inline void answer_on(SimulatedMeter& meter, int handle, const std::atomic<bool>& ending) {
  std::string input;
  while (!ending) {
    pollfd waiting{handle, POLLIN, 0};
    if (::poll(&waiting, 1, 20) <= 0) continue;
    char bytes[256];
    const ssize_t count = ::read(handle, bytes, sizeof bytes);
    if (count <= 0) return;
    input.append(bytes, static_cast<std::size_t>(count));
    for (std::size_t end = input.find('\n'); end != std::string::npos; end = input.find('\n')) {
      const std::string answer = meter.answer(input.substr(0, end));
      input.erase(0, end + 1);
      if (!wrote(handle, answer)) return;
    }
  }
}

class SocketMeter {
 public:
  SocketMeter() : listener_(::socket(AF_INET, SOCK_STREAM, 0)) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof address;
    EXPECT_EQ(::bind(listener_, reinterpret_cast<sockaddr*>(&address), size), 0);
    EXPECT_EQ(::listen(listener_, 4), 0);
    ::getsockname(listener_, reinterpret_cast<sockaddr*>(&address), &size);
    port_ = ntohs(address.sin_port);
    thread_ = std::thread([this] { run(); });
  }
  ~SocketMeter() {
    ending_ = true;
    thread_.join();
    ::close(listener_);
  }
  SocketMeter(const SocketMeter&) = delete;
  SocketMeter& operator=(const SocketMeter&) = delete;

  std::string address() const { return "tcp:127.0.0.1:" + std::to_string(port_); }
  void drop() {
    if (const int handle = handle_; handle >= 0) ::shutdown(handle, SHUT_RDWR);
  }
  int connections() const { return connections_; }
  SimulatedMeter meter;

 private:
  void run() {
    while (!ending_) {
      pollfd waiting{listener_, POLLIN, 0};
      if (::poll(&waiting, 1, 20) <= 0) continue;
      handle_ = ::accept(listener_, nullptr, nullptr);
      ++connections_;
      answer_on(meter, handle_, ending_);
      ::close(handle_.exchange(-1));
    }
  }

  int listener_;
  int port_ = 0;
  std::atomic<int> handle_{-1};
  std::atomic<int> connections_{0};
  std::atomic<bool> ending_{false};
  std::thread thread_;
};

}  // namespace loomgraft
