// Where a meter is: "tcp:HOST:PORT", "serial:DEVICE" or "serial:DEVICE:BAUD".
//
// Gives   the parts; 9600 baud where none is given; the host of an IPv6 address without its brackets
// Fails   bad-meter-address
#pragma once

#include <string>
#include <string_view>
#include <tl/expected.hpp>

#include "base/problem.h"

namespace loomgraft {

struct MeterAddress {
  bool serial = false;
  std::string host;    // of tcp
  int port = 0;        // of tcp
  std::string device;  // of serial: "/dev/ttyUSB0"
  int baud = 9600;     // of serial
  std::string text;    // as given
};

tl::expected<MeterAddress, Problem> read_meter_address(std::string_view text);

}  // namespace loomgraft
