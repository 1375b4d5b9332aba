#include <gtest/gtest.h>

#include "instrument/meter_address.h"

namespace loomgraft::instrument_address_test {
namespace {

TEST(MeterAddress, BothKinds) {
  const auto tcp = read_meter_address("tcp:192.168.1.20:5025");
  ASSERT_TRUE(tcp);
  EXPECT_EQ(tcp->host, "192.168.1.20");
  EXPECT_EQ(tcp->port, 5025);
  EXPECT_EQ(read_meter_address("tcp:[::1]:5025")->host, "::1");
  const auto serial = read_meter_address("serial:/dev/ttyUSB0:19200");
  ASSERT_TRUE(serial);
  EXPECT_TRUE(serial->serial);
  EXPECT_EQ(serial->device, "/dev/ttyUSB0");
  EXPECT_EQ(serial->baud, 19200);
  EXPECT_EQ(read_meter_address("serial:/dev/ttyUSB0")->baud, 9600);
  EXPECT_EQ(read_meter_address("serial:/dev/serial/by-path/pci-0:1.0")->device,
            "/dev/serial/by-path/pci-0:1.0");
}

TEST(MeterAddress, WhatIsNone) {
  for (const char* text : {"", "tcp", "tcp:", "tcp:host", "tcp::5025", "tcp:host:0", "tcp:host:65536",
                           "tcp:host:x", "serial:", "serial:/dev/ttyUSB0:1234", "usb:1", "/dev/ttyUSB0"}) {
    const auto address = read_meter_address(text);
    ASSERT_FALSE(address) << text;
    EXPECT_EQ(address.error().code, "bad-meter-address") << text;
  }
}

}  // namespace
}  // namespace loomgraft::instrument_address_test
