// What the parts of cover() share.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "setcover/cover.h"

namespace loomgraft::setcover {

// A set of small numbers.
class Bits {
 public:
  explicit Bits(std::size_t count) : words_((count + 63) / 64) {}
  void set(std::size_t k) { words_[k / 64] |= std::uint64_t{1} << (k % 64); }
  void clear(std::size_t k) { words_[k / 64] &= ~(std::uint64_t{1} << (k % 64)); }
  bool has(std::size_t k) const { return (words_[k / 64] >> (k % 64) & 1) != 0; }
  bool within(const Bits& other) const {
    for (std::size_t k = 0; k < words_.size(); ++k) {
      if ((words_[k] & ~other.words_[k]) != 0) return false;
    }
    return true;
  }
  auto operator<=>(const Bits&) const = default;

 private:
  std::vector<std::uint64_t> words_;
};

// A problem without what can be left out, and how to return to the whole one. Set-ups that a forced test needs cost nothing.
struct ReducedCover {
  CoverProblem problem;
  std::vector<std::size_t> tests;   // of the whole problem, by position in the reduced one
  std::vector<std::size_t> forced;  // tests of the whole problem that every choice has
  double forced_minutes = 0.0;      // with their set-ups
};
ReducedCover reduced(const CoverProblem& problem);

// Greedy, then exchanges while they pay. Needs every fault exposed by some test.
std::vector<std::size_t> cover_start(const CoverProblem& problem);

struct CoverSearch {
  std::vector<std::size_t> tests;
  double bound = 0.0;
  bool optimal = false;
};
// Branch and cut from `start`; gives back `start` where it finds nothing better.
CoverSearch cover_search(const CoverProblem& problem, const std::vector<std::size_t>& start,
                         const CoverOptions& options);

// The tests that expose each fault, rising.
std::vector<std::vector<std::uint32_t>> exposed_by(const CoverProblem& problem);

}  // namespace loomgraft::setcover
