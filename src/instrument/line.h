// A line to a meter: a TCP connection or a serial line, as bytes.
//
// Model   one thread talks; a Waker ends its waiting from another
// Fails   a line that cannot be opened says why; a line that is lost says so once and stays lost
#pragma once

#include <chrono>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <tl/expected.hpp>

#include "instrument/meter_address.h"

namespace loomgraft::instrument {

// Whether serial lines have this speed.
bool is_baud(int baud);

class Waker {
 public:
  Waker();
  Waker(const Waker&) = delete;
  Waker& operator=(const Waker&) = delete;
  ~Waker();

  void wake() const;
  // Until somebody wakes it or the time is up; what woke it counts no more.
  void wait(std::chrono::milliseconds time) const;
  void drain() const;
  int handle() const { return ends_[0]; }

 private:
  int ends_[2] = {-1, -1};
};

class Line {
 public:
  Line(int handle, const Waker& waker) : handle_(handle), waker_(waker) {}
  Line(const Line&) = delete;
  Line& operator=(const Line&) = delete;
  ~Line();

  // False where the line is lost.
  bool send(std::string_view bytes) const;
  // What arrived: empty where the time is up or somebody woke it; nothing where the line is lost.
  std::optional<std::string> receive(std::chrono::milliseconds time) const;

 private:
  int handle_;
  const Waker& waker_;
};

using OpenedLine = tl::expected<std::unique_ptr<Line>, std::string>;
OpenedLine open_line(const MeterAddress& address, const Waker& waker, std::chrono::milliseconds time);
// The two kinds.
OpenedLine open_tcp(const MeterAddress& address, const Waker& waker, std::chrono::milliseconds time);
OpenedLine open_serial(const MeterAddress& address, const Waker& waker);

}  // namespace loomgraft::instrument
