// Drawn at random, the same for the same seed.
#pragma once

#include <cmath>
#include <random>

#include "network/loom_network.h"

namespace loomgraft {

struct Draw {
  std::mt19937_64 random;
  std::size_t below(std::size_t n) { return static_cast<std::size_t>(random() % n); }
  bool one_in(unsigned n) { return random() % n == 0; }
  double between(double low, double high) {
    return low * std::pow(high / low, static_cast<double>(random() >> 11) * 0x1p-53);
  }
  NodeId node(const LoomNetwork& network) {
    return {static_cast<std::uint32_t>(below(network.circuit.node_count))};
  }
};

}  // namespace loomgraft
