#include <algorithm>
#include <bit>
#include <map>

#include "prove/order_internal.h"

namespace loomgraft::prove {

OrderClasses order_classes(const HandWork& work, double harmful_counts) {
  std::vector<std::vector<std::uint32_t>> tests_of(work.faults.size());
  for (std::uint32_t test = 0; test < work.tests.size(); ++test) {
    for (const std::uint32_t fault : work.tests[test].exposes) tests_of[fault].push_back(test);
  }
  OrderClasses classes;
  std::map<std::vector<std::uint32_t>, std::size_t> number;
  double sum = 0.0;
  for (std::size_t fault = 0; fault < tests_of.size(); ++fault) {
    if (tests_of[fault].empty()) continue;
    const auto [found, is_new] = number.emplace(std::move(tests_of[fault]), classes.weight.size());
    if (is_new) {
      classes.weight.push_back(0.0);
      classes.harmful.push_back(false);
    }
    if (work.faults[fault].harmful) classes.harmful[found->second] = true;
    const double weight = work.faults[fault].prior * (work.faults[fault].harmful ? harmful_counts : 1.0);
    classes.weight[found->second] += weight;
    sum += weight;
  }
  for (double& weight : classes.weight) weight /= sum > 0.0 ? sum : 1.0;
  classes.words = (classes.weight.size() + 63) / 64;
  classes.bits.assign(classes.words * work.tests.size(), 0);
  classes.tests_of.resize(classes.weight.size());
  for (const auto& [tests, at] : number) {
    for (const std::uint32_t test : tests)
      classes.bits[test * classes.words + at / 64] |= std::uint64_t{1} << (at % 64);
    classes.tests_of[at] = tests;
  }
  return classes;
}

double OrderClasses::fresh(std::size_t test, const std::vector<std::uint64_t>& shown) const {
  double sum = 0.0;
  for (std::size_t word = 0; word < words; ++word) {
    for (std::uint64_t one = of(test)[word] & ~shown[word]; one != 0; one &= one - 1)
      sum += weight[word * 64 + static_cast<std::size_t>(std::countr_zero(one))];
  }
  return sum;
}

void OrderClasses::note(std::size_t test, std::vector<std::uint64_t>& shown) const {
  for (std::size_t word = 0; word < words; ++word) shown[word] |= of(test)[word];
}

double cost_of(const HandWork& work, const OrderClasses& classes, std::span<const std::size_t> sequence,
               double floor) {
  Hands hands(work);
  std::vector<std::uint64_t> shown(classes.words, 0);
  double left = 1.0;
  double cost = 0.0;
  for (const std::size_t test : sequence) {
    cost += hands.next(work.tests[test]).sum() * (left + floor);
    left -= classes.fresh(test, shown);
    classes.note(test, shown);
  }
  return cost;
}

}  // namespace loomgraft::prove
