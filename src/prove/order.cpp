#include <algorithm>
#include <bit>
#include <limits>
#include <optional>

#include "prove/figures.h"
#include "prove/order_internal.h"

namespace loomgraft::prove {
namespace {

using Sequence = std::vector<std::size_t>;

constexpr double worth_it = 1e-9;
constexpr std::size_t longest_moved = 3;  // steps
// In looms so large that not every move can be tried, those nearby are.
constexpr std::size_t moved_at_most = 40;

class Search {
 public:
  Search(const HandWork& work, const OrderOptions& options)
      : work_(work),
        options_(options),
        classes_(order_classes(work, options.harmful_counts)),
        effort_(options.effort),
        walked_(1, OrderWalk(work, classes_)) {}

  Sequence run(const Sequence& chosen) {
    walk_best(start(chosen));
    cost_ = cost(best_);
    bool moved = true;
    while (moved && effort_ > 0) {
      moved = move_steps();
      moved = move_conditions() || moved;
      if (options_.exchange) moved = exchange() || moved;
      if (options_.exchange && !moved) moved = add_and_drop();
    }
    return best_;
  }

 private:
  // From where the sequence leaves the best one, whose walk is kept step by step.
  double cost(const Sequence& sequence) {
    const std::size_t operations = sequence.size() * (classes_.words + 8) + classes_.count();
    effort_ -= std::min(effort_, operations);
    auto leaves = static_cast<std::size_t>(std::ranges::mismatch(sequence, best_).in1 - sequence.begin());
    OrderWalk walk = walked_[leaves];
    for (; leaves < sequence.size(); ++leaves) walk.take(work_, classes_, sequence[leaves], options_.floor);
    return walk.cost;
  }

  void walk_best(Sequence sequence) {
    const auto same = static_cast<std::size_t>(std::ranges::mismatch(sequence, best_).in1 - sequence.begin());
    best_ = std::move(sequence);
    walked_.resize(same + 1, OrderWalk(work_, classes_));
    walked_.reserve(best_.size() + 1);
    for (std::size_t k = same; k < best_.size(); ++k) {
      walked_.push_back(walked_.back());
      walked_.back().take(work_, classes_, best_[k], options_.floor);
    }
  }

  bool take_if_better(const Sequence& sequence) {
    const double there = cost(sequence);
    if (!(there < cost_ - worth_it)) return false;
    cost_ = there;
    walk_best(sequence);
    return true;
  }

  std::uint32_t condition(std::size_t test) const { return work_.tests[test].condition; }
  int phase(std::size_t test) const { return work_.conditions[condition(test)].phase; }

  // ---- the start: condition by condition of a phase, in each the step that shows most per minute
  Sequence in_condition(Sequence left, const Hands& hands_before, std::vector<std::uint64_t> shown,
                        double& rate) {
    Sequence order;
    Hands hands = hands_before;
    double share = 0.0;
    double minutes = 0.0;
    while (!left.empty()) {
      std::size_t best = 0;
      double best_rate = -1.0;
      for (std::size_t k = 0; k < left.size(); ++k) {
        Hands tried = hands;
        const double takes = tried.next(work_.tests[left[k]]).sum();
        const double shows = classes_.fresh(left[k], shown) / std::max(takes, 1e-6);
        if (shows > best_rate) {
          best_rate = shows;
          best = k;
        }
      }
      const std::size_t test = left[best];
      share += classes_.fresh(test, shown);
      minutes += hands.next(work_.tests[test]).sum();
      classes_.note(test, shown);
      order.push_back(test);
      left.erase(left.begin() + static_cast<std::ptrdiff_t>(best));
    }
    rate = share / std::max(minutes, 1e-6);
    return order;
  }

  Sequence start(const Sequence& chosen) {
    std::vector<Sequence> of_condition(work_.conditions.size());
    for (const std::size_t test : chosen) of_condition[condition(test)].push_back(test);
    Sequence order;
    Hands hands(work_);
    std::vector<std::uint64_t> shown(classes_.words, 0);
    while (order.size() < chosen.size()) {
      const std::size_t next = next_condition(of_condition, hands, shown);
      double rate = 0.0;
      for (const std::size_t test : in_condition(of_condition[next], hands, shown, rate)) {
        (void)hands.next(work_.tests[test]);
        classes_.note(test, shown);
        order.push_back(test);
      }
      of_condition[next].clear();
    }
    return order;
  }

  std::size_t next_condition(const std::vector<Sequence>& of_condition, const Hands& hands,
                             const std::vector<std::uint64_t>& shown) {
    int first = std::numeric_limits<int>::max();
    for (std::size_t k = 0; k < of_condition.size(); ++k) {
      if (!of_condition[k].empty()) first = std::min(first, work_.conditions[k].phase);
    }
    std::size_t best = 0;
    double best_rate = -1.0;
    for (std::size_t k = 0; k < of_condition.size(); ++k) {
      if (of_condition[k].empty() || work_.conditions[k].phase != first) continue;
      if (first == dead_phase) return k;
      double rate = 0.0;
      (void)in_condition(of_condition[k], hands, shown, rate);
      if (rate > best_rate) {
        best_rate = rate;
        best = k;
      }
    }
    return best;
  }

  // ---- moves
  struct Block {
    std::size_t from = 0;
    std::size_t to = 0;
  };
  std::vector<Block> blocks() const {
    std::vector<Block> found;
    for (std::size_t k = 0; k < best_.size(); ++k) {
      if (k == 0 || condition(best_[k]) != condition(best_[k - 1])) found.push_back({k, k});
      found.back().to = k + 1;
    }
    return found;
  }

  bool move_steps() {
    bool moved = false;
    for (const Block& block : blocks()) {
      for (std::size_t from = block.from; from < block.to; ++from) {
        for (std::size_t length = 1; length <= std::min(longest_moved, block.to - from); ++length)
          moved = move_run(block, from, length) || moved;
        if (effort_ == 0) return moved;
      }
    }
    return moved;
  }

  // A run of steps to any other place of its block, either way round.
  bool move_run(const Block& block, std::size_t from, std::size_t length) {
    const std::size_t first = std::max(block.from, from - std::min(from, moved_at_most));
    const std::size_t last = std::min(block.to - length, from + moved_at_most);
    const auto run = best_.begin() + static_cast<std::ptrdiff_t>(from);
    Sequence without = best_;
    without.erase(without.begin() + static_cast<std::ptrdiff_t>(from),
                  without.begin() + static_cast<std::ptrdiff_t>(from + length));
    Sequence moved(run, run + static_cast<std::ptrdiff_t>(length));
    for (const bool turned : {false, true}) {
      if (turned && length == 1) break;
      if (turned) std::ranges::reverse(moved);
      for (std::size_t to = first; to <= last; ++to) {
        if (to == from && !turned) continue;
        Sequence tried = without;
        tried.insert(tried.begin() + static_cast<std::ptrdiff_t>(to), moved.begin(), moved.end());
        if (take_if_better(tried)) return true;
      }
    }
    return false;
  }

  bool move_conditions() {
    const std::vector<Block> all = blocks();
    for (std::size_t one = 0; one < all.size(); ++one) {
      const int own = phase(best_[all[one].from]);
      if (own == dead_phase) continue;
      for (std::size_t to = 0; to < all.size(); ++to) {
        if (to == one || phase(best_[all[to].from]) != own) continue;
        std::vector<Block> order = all;
        order.erase(order.begin() + static_cast<std::ptrdiff_t>(one));
        order.insert(order.begin() + static_cast<std::ptrdiff_t>(to), all[one]);
        Sequence tried;
        for (const Block& block : order)
          tried.insert(tried.end(), best_.begin() + static_cast<std::ptrdiff_t>(block.from),
                       best_.begin() + static_cast<std::ptrdiff_t>(block.to));
        if (take_if_better(tried)) return true;
        if (effort_ == 0) return false;
      }
    }
    return false;
  }

  // ---- exchanges
  std::vector<std::uint32_t> times_shown(const Sequence& sequence) const {
    std::vector<std::uint32_t> times(classes_.count());
    for (const std::size_t test : sequence) {
      for_each_class(test, [&](std::size_t one) { ++times[one]; });
    }
    return times;
  }

  template <class Work>
  void for_each_class(std::size_t test, const Work& work) const {
    const std::uint64_t* bits = classes_.of(test);
    for (std::size_t word = 0; word < classes_.words; ++word) {
      for (std::uint64_t one = bits[word]; one != 0; one &= one - 1)
        work(word * 64 + static_cast<std::size_t>(std::countr_zero(one)));
    }
  }

  // Drops steps that nothing needs, from the last.
  Sequence without_superfluous(Sequence sequence, std::size_t kept) const {
    std::vector<std::uint32_t> times = times_shown(sequence);
    for (std::size_t k = sequence.size(); k-- > 0;) {
      if (sequence[k] == kept) continue;
      bool needed = false;
      for_each_class(sequence[k], [&](std::size_t one) { needed = needed || times[one] == 1; });
      if (needed) continue;
      for_each_class(sequence[k], [&](std::size_t one) { --times[one]; });
      sequence.erase(sequence.begin() + static_cast<std::ptrdiff_t>(k));
    }
    return sequence;
  }

  bool try_with(const Sequence& rest, std::size_t test) {
    bool better = false;
    for (const std::size_t place : places_for(work_, rest, test)) {
      Sequence tried = rest;
      tried.insert(tried.begin() + static_cast<std::ptrdiff_t>(place), test);
      better = take_if_better(without_superfluous(std::move(tried), test)) || better;
    }
    return better;
  }

  // A step for another that shows what only it shows.
  bool exchange() {
    bool moved = false;
    for (std::size_t k = 0; k < best_.size() && effort_ > 0; ++k) {
      const std::vector<std::uint32_t> times = times_shown(best_);
      std::vector<std::size_t> own;
      for_each_class(best_[k], [&](std::size_t one) {
        if (times[one] == 1) own.push_back(one);
      });
      Sequence rest = best_;
      rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(k));
      if (own.empty()) {
        moved = take_if_better(rest) || moved;
        continue;
      }
      const std::size_t rarest =
          *std::ranges::min_element(own, {}, [&](std::size_t one) { return classes_.tests_of[one].size(); });
      const std::size_t now = best_[k];
      for (const std::uint32_t test : classes_.tests_of[rarest]) {
        if (test == now || effort_ == 0) continue;
        const bool all = std::ranges::all_of(own, [&](std::size_t one) { return classes_.has(test, one); });
        if (!all || !try_with(rest, test)) continue;
        moved = true;
        break;
      }
    }
    return moved;
  }

  // One more test that makes others unnecessary.
  bool add_and_drop() {
    bool moved = false;
    for (std::size_t test = 0; test < work_.tests.size() && effort_ > 0; ++test) {
      if (work_.tests[test].exposes.empty() || std::ranges::count(best_, test) > 0) continue;
      moved = try_with(Sequence(best_), test) || moved;
    }
    return moved;
  }

  const HandWork& work_;
  OrderOptions options_;
  OrderClasses classes_;
  std::size_t effort_;
  Sequence best_;
  std::vector<OrderWalk> walked_;  // of the best: before each step, and after the last
  double cost_ = 0.0;
};

}  // namespace

OrderOptions default_order() {
  OrderOptions options;
  options.floor = prove_figure("order_floor");
  options.harmful_counts = prove_figure("order_harmful_counts");
  options.effort = static_cast<std::size_t>(prove_figure("order_effort"));
  return options;
}

std::vector<std::size_t> ordered(const HandWork& work, const std::vector<std::size_t>& chosen,
                                 const OrderOptions& options) {
  return Search(work, options).run(chosen);
}

}  // namespace loomgraft::prove
