#include "http/network_addresses.h"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <net/if.h>

#include <algorithm>
#include <cstdint>
#include <fstream>
#include <iterator>
#include <optional>
#include <sstream>

namespace loomgraft {
namespace {

std::optional<std::uint32_t> number_of(const std::string& address) {
  in_addr parsed{};
  if (::inet_pton(AF_INET, address.c_str(), &parsed) != 1) return std::nullopt;
  return ntohl(parsed.s_addr);
}

// RFC 6890, table 1: this host, loopback, multicast and what is reserved name no machine of a network.
bool is_host_address(std::uint32_t number) {
  const std::uint32_t first = number >> 24U;
  return first != 0 && first != 127 && first < 224;
}

bool is_private(std::uint32_t number) {
  return (number >> 16U) == 0xc0a8U || (number >> 24U) == 10U || (number >> 20U) == 0xac1U;
}

bool is_link_local(std::uint32_t number) {
  return (number >> 16U) == 0xa9feU;
}

int rank_of(const NetworkInterface& one, std::uint32_t number) {
  if (is_link_local(number)) return 3;
  if (one.default_route) return 0;
  return is_private(number) ? 1 : 2;
}

}  // namespace

bool is_private_address(const std::string& address) {
  constexpr std::string_view mapped = "::ffff:";
  const auto number = number_of(address.starts_with(mapped) ? address.substr(mapped.size()) : address);
  return number && (is_private(*number) || is_link_local(*number) || (*number >> 24U) == 127U);
}

std::vector<std::string> reachable_addresses(const std::vector<NetworkInterface>& interfaces) {
  std::vector<std::pair<int, std::string>> ranked;
  for (const NetworkInterface& one : interfaces) {
    const auto number = number_of(one.address);
    if (!one.up || one.loopback || !number || !is_host_address(*number)) continue;
    const bool known =
        std::ranges::any_of(ranked, [&](const auto& other) { return other.second == one.address; });
    if (!known) ranked.emplace_back(rank_of(one, *number), one.address);
  }
  std::ranges::stable_sort(ranked, {}, [](const auto& one) { return one.first; });
  std::vector<std::string> addresses;
  addresses.reserve(ranked.size());
  for (auto& [rank, address] : ranked) addresses.push_back(std::move(address));
  return addresses;
}

// Iface Destination Gateway Flags RefCnt Use Metric Mask ...: proc(5), /proc/net/route.
std::string default_interface(std::string_view table) {
  std::istringstream lines{std::string(table)};
  std::string best;
  long best_metric = 0;
  for (std::string line; std::getline(lines, line);) {
    std::istringstream cells(line);
    std::string name, destination, gateway, flags, references, uses, mask;
    long metric = 0;
    if (!(cells >> name >> destination >> gateway >> flags >> references >> uses >> metric >> mask)) continue;
    if (destination != "00000000" || mask != "00000000") continue;
    if (!best.empty() && metric >= best_metric) continue;
    best = name;
    best_metric = metric;
  }
  return best;
}

std::vector<NetworkInterface> network_interfaces() {
  std::ifstream file("/proc/net/route");
  const std::string outward = default_interface(std::string(std::istreambuf_iterator<char>(file), {}));
  std::vector<NetworkInterface> interfaces;
  ifaddrs* list = nullptr;
  if (::getifaddrs(&list) != 0) return interfaces;
  for (const ifaddrs* entry = list; entry; entry = entry->ifa_next) {
    if (!entry->ifa_addr || entry->ifa_addr->sa_family != AF_INET) continue;
    char text[INET_ADDRSTRLEN] = {};
    const auto* address = reinterpret_cast<const sockaddr_in*>(entry->ifa_addr);
    if (!::inet_ntop(AF_INET, &address->sin_addr, text, sizeof text)) continue;
    interfaces.push_back({entry->ifa_name, text, (entry->ifa_flags & IFF_UP) != 0,
                          (entry->ifa_flags & IFF_LOOPBACK) != 0, outward == entry->ifa_name});
  }
  ::freeifaddrs(list);
  return interfaces;
}

}  // namespace loomgraft
