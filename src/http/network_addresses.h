// The addresses at which other devices on the network can reach this computer.
//
// Model   every IPv4 address of an interface that is up and no loopback. First those of the interface that
//         leads to everywhere else (the default route): most likely the network that a phone is in; then
//         private ones (RFC 1918); last those that a machine gives itself where nobody hands any out (RFC
//         3927).
// Needs   the interfaces in the system's order, which stands among equals
// Gives   each address once; none where there is no network. IPv4 only: the listener takes no other.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace loomgraft {

struct NetworkInterface {
  std::string name;     // "wlan0"
  std::string address;  // "192.168.1.20"
  bool up = true;
  bool loopback = false;
  bool default_route = false;  // the default route goes by it
};

std::vector<std::string> reachable_addresses(const std::vector<NetworkInterface>& interfaces);

// Of a network that is not the internet: private, link-local or this machine. IPv4, also as IPv6 writes it.
bool is_private_address(const std::string& address);

// The name of the interface of the default route, of several the one with the lowest metric; empty where
// there is none. `table` as Linux gives it in /proc/net/route.
std::string default_interface(std::string_view table);

// Those of this machine.
std::vector<NetworkInterface> network_interfaces();

}  // namespace loomgraft
