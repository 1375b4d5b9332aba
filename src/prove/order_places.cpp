#include "prove/order_internal.h"

namespace loomgraft::prove {
namespace {

constexpr std::size_t most_places = 12;

bool shares_a_point(const HandTest& a, const HandTest& b) {
  return (a.red.point == b.red.point && a.red.point != no_point) ||
         (a.black.point == b.black.point && a.black.point != no_point);
}

// A condition begun for `test` stands before that of `other`.
bool comes_after(const HandWork& work, const HandTest& other, const HandTest& test) {
  const int one = work.conditions[other.condition].phase;
  const int own = work.conditions[test.condition].phase;
  return one > own || (one == own && own == dead_phase && other.condition > test.condition);
}

}  // namespace

std::vector<std::size_t> places_for(const HandWork& work, std::span<const std::size_t> sequence,
                                    std::size_t number) {
  const HandTest& test = work.tests[number];
  std::vector<std::size_t> places;
  bool met = false;
  std::size_t block_end = sequence.size();
  for (std::size_t k = 0; k < sequence.size(); ++k) {
    const HandTest& other = work.tests[sequence[k]];
    if (other.condition == test.condition) {
      if (!met) places.push_back(k);
      met = true;
      block_end = k + 1;
      if (shares_a_point(other, test) && places.size() < most_places) places.push_back(k + 1);
    } else if (!met && comes_after(work, other, test)) {
      return {k};
    }
  }
  if (places.empty() || places.back() != block_end) places.push_back(block_end);
  return places;
}

}  // namespace loomgraft::prove
