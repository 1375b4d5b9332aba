// A serial line to a meter: eight data bits, no parity, one stop bit, no flow control.
#include <fcntl.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <utility>

#include "instrument/line.h"

namespace loomgraft::instrument {
namespace {

constexpr std::pair<int, speed_t> speeds[] = {{1200, B1200},   {2400, B2400},     {4800, B4800},
                                              {9600, B9600},   {19200, B19200},   {38400, B38400},
                                              {57600, B57600}, {115200, B115200}, {230400, B230400}};

const std::pair<int, speed_t>* speed_for(int baud) {
  const auto* found =
      std::find_if(std::begin(speeds), std::end(speeds), [&](const auto& one) { return one.first == baud; });
  return found == std::end(speeds) ? nullptr : found;
}

bool set_up(int handle, speed_t speed) {
  termios settings{};
  if (::tcgetattr(handle, &settings) != 0) return false;
  ::cfmakeraw(&settings);
  settings.c_cflag |= CLOCAL | CREAD;
  settings.c_cflag &= ~static_cast<tcflag_t>(CSTOPB | CRTSCTS);
  settings.c_cc[VMIN] = 1;
  settings.c_cc[VTIME] = 0;
  ::cfsetispeed(&settings, speed);
  ::cfsetospeed(&settings, speed);
  return ::tcsetattr(handle, TCSANOW, &settings) == 0;
}

}  // namespace

bool is_baud(int baud) {
  return speed_for(baud) != nullptr;
}

OpenedLine open_serial(const MeterAddress& address, const Waker& waker) {
  const auto failed = [] { return tl::unexpected(std::string(std::strerror(errno))); };
  const int handle = ::open(address.device.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
  if (handle < 0) return failed();
  auto line = std::make_unique<Line>(handle, waker);
  // What is no serial line must not be written to: a mistyped name could be a file.
  if (::isatty(handle) == 0) return tl::unexpected(std::string("this is no serial line"));
  ::ioctl(handle, TIOCEXCL);
  if (!set_up(handle, speed_for(address.baud)->second)) return failed();
  ::tcflush(handle, TCIOFLUSH);
  return line;
}

}  // namespace loomgraft::instrument
