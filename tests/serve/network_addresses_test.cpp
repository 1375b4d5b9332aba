// Which addresses are offered to a phone, in which order, and that no other host name is accepted.
#include "http/network_addresses.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/serve/bench.h"

namespace loomgraft::serve_network_addresses_test {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

NetworkInterface one(const std::string& name, const std::string& address, bool default_route = false) {
  NetworkInterface made;
  made.name = name;
  made.address = address;
  made.default_route = default_route;
  return made;
}

std::vector<NetworkInterface> invented() {
  std::vector<NetworkInterface> all = {one("lo", "127.0.0.1"),         one("usb0", "169.254.7.7"),
                                       one("tun0", "100.64.0.9"),      one("br0", "172.17.0.1"),
                                       one("wlan0", "10.1.2.3", true), one("eth1", "192.168.9.4"),
                                       one("eth2", "192.168.8.1")};
  all[0].loopback = true;
  all[6].up = false;
  return all;
}

TEST(NetworkAddresses, TheWayOutFirstThenPrivateThenTheRest) {
  EXPECT_THAT(reachable_addresses(invented()),
              ElementsAre("10.1.2.3", "172.17.0.1", "192.168.9.4", "100.64.0.9", "169.254.7.7"));
  EXPECT_THAT(reachable_addresses({}), IsEmpty());
}

TEST(NetworkAddresses, NoneThatNamesNoMachineAndNoneTwice) {
  EXPECT_THAT(reachable_addresses({one("a", "0.0.0.0"), one("b", "224.0.0.251"), one("c", "255.255.255.255"),
                                   one("d", "127.0.0.53"), one("e", "fe80::1"), one("f", "no address"),
                                   one("g", "10.0.0.1"), one("h", "10.0.0.1", true)}),
              ElementsAre("10.0.0.1"));
}

// RFC 1918, section 3: 172.16/12 ends at 172.31.
TEST(NetworkAddresses, PrivateOnesEndWhereTheyEnd) {
  EXPECT_THAT(
      reachable_addresses({one("a", "172.32.0.1"), one("b", "192.169.0.1"), one("c", "172.31.255.1")}),
      ElementsAre("172.31.255.1", "172.32.0.1", "192.169.0.1"));
}

TEST(NetworkAddresses, TheDefaultRouteIsTheOneOfTheLowestMetric) {
  const std::string head =
      "Iface\tDestination\tGateway\tFlags\tRefCnt\tUse\tMetric\tMask\tMTU\tWindow\tIRTT\n";
  const std::string wlan = "wlan0\t00000000\t0102010A\t0003\t0\t0\t600\t00000000\t0\t0\t0\n";
  const std::string eth = "eth0\t00000000\t0101A8C0\t0003\t0\t0\t100\t00000000\t0\t0\t0\n";
  const std::string half = "tun0\t00000000\t00000000\t0001\t0\t0\t0\t00000080\t0\t0\t0\n";
  EXPECT_EQ(default_interface(head + wlan + half), "wlan0");
  EXPECT_EQ(default_interface(head + wlan + eth), "eth0");
  EXPECT_EQ(default_interface(head + eth + wlan), "eth0");
  EXPECT_EQ(default_interface(head), "");
  EXPECT_EQ(default_interface(""), "");
}

TEST(NetworkAddresses, PublicOnesAreLeftOutUnlessAskedFor) {
  ServeOptions options;
  options.lan = true;
  options.interfaces = invented();
  Bench bench(options);
  EXPECT_EQ(bench.get("/api/join")["addresses"].size(), 4U)
      << "all but 100.64.0.9, which carriers share out (RFC 6598)";
  for (const char* address :
       {"10.0.0.1", "172.31.255.1", "192.168.0.1", "169.254.1.1", "127.0.0.1", "::ffff:10.0.0.1"})
    EXPECT_TRUE(is_private_address(address)) << address;
  for (const char* address : {"172.32.0.1", "100.64.0.9", "8.8.8.8", "192.0.2.2", "::1", "", "x"})
    EXPECT_FALSE(is_private_address(address)) << address;
}

TEST(NetworkAddresses, OnlyTheAddressesShownOpenTheDoor) {
  ServeOptions options;
  options.lan = options.any_remote = true;
  options.interfaces = invented();
  Bench bench(options);
  const std::string port = ":" + std::to_string(bench.bench->port());
  const auto status = [&](const std::string& host) {
    return bench.client->Get("/api/session", {{"Host", host}})->status;
  };
  const Json join = bench.get("/api/join");
  ASSERT_EQ(join["addresses"].size(), 5U);
  EXPECT_EQ(join["address"], "http://10.1.2.3" + port + "/");
  EXPECT_EQ(join["addresses"][0]["address"], join["address"]);
  EXPECT_EQ(join["addresses"][0]["qr_svg"], join["qr_svg"]);
  EXPECT_NE(join["addresses"][1]["qr_svg"], join["qr_svg"]);
  for (const char* host : {"10.1.2.3", "172.17.0.1", "192.168.9.4", "100.64.0.9", "169.254.7.7", "127.0.0.1"})
    EXPECT_EQ(status(host + port), 200) << host;
  for (const char* host : {"192.168.8.1", "10.1.2.4", "10.1.2.3.example.org", "example.org", "127.0.0.53"})
    EXPECT_EQ(status(host + port), 403) << host;
  EXPECT_EQ(status("10.1.2.3:1"), 403);
}

TEST(NetworkAddresses, WithoutLanNoneOfThem) {
  ServeOptions options;
  options.interfaces = invented();
  Bench bench(options);
  EXPECT_TRUE(bench.bench->lan_addresses().empty());
  EXPECT_EQ(bench.client->Get("/api/session", {{"Host", "10.1.2.3:" + std::to_string(bench.bench->port())}})
                ->status,
            403);
}

}  // namespace
}  // namespace loomgraft::serve_network_addresses_test
