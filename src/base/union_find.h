// Disjoint sets of the numbers 0 to n - 1 (union-find with path halving: Tarjan and van Leeuwen 1984).
//
// Gives   root(): one number for all members of a set, the smallest of them
// Cost    nearly constant per call
#pragma once

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <numeric>
#include <vector>

namespace loomgraft {

class UnionFind {
 public:
  explicit UnionFind(std::size_t count = 0) : parent_(count) {
    std::iota(parent_.begin(), parent_.end(), std::uint32_t{0});
  }

  std::size_t size() const { return parent_.size(); }
  // A set of its own; returns its number.
  std::uint32_t add() {
    parent_.push_back(static_cast<std::uint32_t>(parent_.size()));
    return parent_.back();
  }
  std::uint32_t root(std::uint32_t k) {
    while (parent_[k] != k) k = parent_[k] = parent_[parent_[k]];
    return k;
  }
  void join(std::uint32_t a, std::uint32_t b) {
    a = root(a);
    b = root(b);
    parent_[std::max(a, b)] = std::min(a, b);
  }

 private:
  std::vector<std::uint32_t> parent_;
};

}  // namespace loomgraft
