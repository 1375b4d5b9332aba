#include <algorithm>
#include <limits>

#include "prove/order_internal.h"
#include "setcover/binary_program.h"

namespace loomgraft::prove {
namespace {

using Sequence = std::vector<std::size_t>;
using Shown = std::vector<std::uint64_t>;

constexpr double worth_it = 1e-12;  // share of the odds; less is rounding
constexpr double rounding = 1e-9;   // minutes

class Budget {
 public:
  Budget(const HandWork& work, double minutes, const OrderOptions& options)
      : work_(work),
        minutes_(minutes),
        options_(options),
        classes_(order_classes(work, options.harmful_counts)),
        effort_(options.effort) {
    find_gate();
  }

  double share(const Sequence& sequence) const {
    const Shown shown = shown_by(sequence);
    double sum = 0.0;
    for (std::size_t one = 0; one < classes_.count(); ++one) {
      if (has_bit(shown.data(), one)) sum += classes_.weight[one];
    }
    return sum;
  }

  double minutes_of(const Sequence& sequence) const {
    double sum = 0.0;
    for (const StepMinutes& step : minutes_of_steps(work_, sequence)) sum += step.sum();
    return sum;
  }

  // As much of it as fits, from its beginning.
  Sequence beginning(const Sequence& whole) const {
    Sequence begun;
    Hands hands(work_);
    double sum = 0.0;
    for (const std::size_t test : whole) {
      sum += hands.next(work_.tests[test]).sum();
      if (sum > minutes_ + rounding) break;
      begun.push_back(test);
    }
    return begun;
  }

  // Adds what shows most per minute while it fits.
  void fill(Sequence& sequence) {
    while (effort_ > 0) {
      const bool powered = may_be_powered(sequence);
      const Shown shown = shown_by(sequence);
      const double now = minutes_of(sequence);
      double best_rate = 0.0;
      Sequence best;
      for (std::size_t test = 0; test < work_.tests.size(); ++test) {
        if (is_live(test) && !powered) continue;
        const double shows = classes_.fresh(test, shown);
        if (shows > worth_it) try_at_best_place(sequence, test, shows, now, best_rate, best);
      }
      if (best.empty()) return;
      sequence = std::move(best);
    }
  }

  // A step less, and others in its stead.
  void improve(Sequence& sequence) {
    bool moved = true;
    while (moved && effort_ > 0) {
      moved = false;
      for (std::size_t k = 0; k < sequence.size() && effort_ > 0; ++k) {
        Sequence tried = sequence;
        tried.erase(tried.begin() + static_cast<std::ptrdiff_t>(k));
        if (!is_allowed(tried)) continue;
        fill(tried);
        if (share(tried) < share(sequence) + worth_it) continue;
        sequence = std::move(tried);
        moved = true;
      }
      moved = force(sequence) || moved;
      moved = shorten(sequence) || moved;
    }
  }

  // One more test, and as many of the least useful others less as that takes.
  bool force(Sequence& sequence) {
    bool moved = false;
    for (std::size_t test = 0; test < work_.tests.size() && effort_ > 0; ++test) {
      if (std::ranges::count(sequence, test) > 0 || classes_.fresh(test, shown_by(sequence)) <= worth_it)
        continue;
      for (const std::size_t place : places_for(work_, sequence, test)) {
        Sequence tried = sequence;
        tried.insert(tried.begin() + static_cast<std::ptrdiff_t>(place), test);
        drop_until_it_fits(tried, test);
        if (!is_allowed(tried) || share(tried) < share(sequence) + worth_it) continue;
        fill(tried);
        sequence = std::move(tried);
        moved = true;
        break;
      }
    }
    return moved;
  }

  // The order that takes least, which may make room for more.
  bool shorten(Sequence& sequence) {
    OrderOptions options = options_;
    options.exchange = false;
    options.floor = whole_only;
    Sequence tried = ordered(work_, sequence, options);
    if (minutes_of(tried) > minutes_of(sequence) - rounding) return false;
    const double before = share(tried);
    fill(tried);
    sequence = std::move(tried);
    return share(sequence) > before + worth_it;
  }

  // For whoever stops even earlier, where there is time for that.
  Sequence in_order(const Sequence& sequence) const {
    OrderOptions options = options_;
    options.exchange = false;
    for (; options.floor < whole_only; options.floor *= 3.0) {
      Sequence tried = ordered(work_, sequence, options);
      if (minutes_of(tried) <= minutes_ + rounding) return tried;
    }
    return sequence;
  }

 private:
  static constexpr double whole_only = 100.0;

  // Without the steps that show least for their minutes, but never `kept`.
  void drop_until_it_fits(Sequence& sequence, std::size_t kept) {
    double now = minutes_of(sequence);
    while (now > minutes_ + rounding && sequence.size() > 1) {
      double least_rate = std::numeric_limits<double>::infinity();
      Sequence best;
      for (std::size_t k = 0; k < sequence.size(); ++k) {
        if (sequence[k] == kept) continue;
        Sequence tried = sequence;
        tried.erase(tried.begin() + static_cast<std::ptrdiff_t>(k));
        effort_ -= std::min<std::size_t>(effort_, 16 * tried.size());
        const double saved = std::max(now - minutes_of(tried), 1e-6);
        const double rate = (share(sequence) - share(tried)) / saved;
        if (!(rate < least_rate)) continue;
        least_rate = rate;
        best = std::move(tried);
      }
      sequence = std::move(best);
      now = minutes_of(sequence);
    }
    if (now > minutes_ + rounding) sequence.clear();
  }

  // Harmful faults that tests without power expose.
  void find_gate() {
    gate_.assign(classes_.words, 0);
    for (std::size_t one = 0; one < classes_.count(); ++one) {
      const bool dead =
          std::ranges::any_of(classes_.tests_of[one], [&](std::uint32_t test) { return !is_live(test); });
      if (dead && classes_.harmful[one]) set_bit(gate_.data(), one);
    }
  }

  bool is_live(std::size_t test) const {
    return work_.conditions[work_.tests[test].condition].phase != dead_phase;
  }

  Shown shown_by(const Sequence& sequence) const {
    Shown shown(classes_.words, 0);
    for (const std::size_t test : sequence) classes_.note(test, shown);
    return shown;
  }

  bool may_be_powered(const Sequence& sequence) const {
    const Shown shown = shown_by(sequence);
    for (std::size_t word = 0; word < classes_.words; ++word) {
      if ((gate_[word] & ~shown[word]) != 0) return false;
    }
    return true;
  }

  bool is_allowed(const Sequence& sequence) const {
    return std::ranges::none_of(sequence, [&](std::size_t test) { return is_live(test); }) ||
           may_be_powered(sequence);
  }

  void try_at_best_place(const Sequence& sequence, std::size_t test, double shows, double now,
                         double& best_rate, Sequence& best) {
    for (const std::size_t place : places_for(work_, sequence, test)) {
      Sequence tried = sequence;
      tried.insert(tried.begin() + static_cast<std::ptrdiff_t>(place), test);
      const double then = minutes_of(tried);
      effort_ -= std::min<std::size_t>(effort_, 8 * tried.size());
      const double rate = shows / std::max(then - now, 1e-6);
      if (then > minutes_ + rounding || !(rate > best_rate)) continue;
      best_rate = rate;
      best = std::move(tried);
    }
  }

  const HandWork& work_;
  double minutes_;
  OrderOptions options_;
  OrderClasses classes_;
  std::size_t effort_;
  Shown gate_;
};

// Columns: tests, set-ups, classes of faults. Rows: a class needs a test that shows it; a test needs its set-ups; the
// minutes. A class counts against the cost, so that the least cost shows most.
BinaryProgram program_of(const OrderClasses& classes, const CoverProblem& cover, double minutes) {
  BinaryProgram made;
  const std::size_t count = classes.count();
  std::size_t row = count;
  const std::size_t setups = cover.setup_minutes.size();
  std::vector<std::vector<std::size_t>> links(setups);
  for (const CoverTest& test : cover.tests) {
    for (const std::uint32_t setup : test.setups) links[setup].push_back(row++);
  }
  const std::size_t budget = row;
  const auto entry = [&](std::size_t at, double value) {
    made.rows.push_back(at);
    made.values.push_back(value);
  };
  const auto close = [&](double cost) {
    made.starts.push_back(made.rows.size());
    made.cost.push_back(cost);
  };
  row = count;
  for (std::size_t test = 0; test < cover.tests.size(); ++test) {
    for (std::size_t one = 0; one < count; ++one) {
      if (classes.has(test, one)) entry(one, 1.0);
    }
    for (std::size_t k = 0; k < cover.tests[test].setups.size(); ++k) entry(row++, -1.0);
    entry(budget, -cover.tests[test].minutes);
    close(0.0);
  }
  for (std::size_t setup = 0; setup < setups; ++setup) {
    for (const std::size_t link : links[setup]) entry(link, 1.0);
    entry(budget, -cover.setup_minutes[setup]);
    close(0.0);
  }
  for (std::size_t one = 0; one < count; ++one) {
    entry(one, -1.0);
    close(-classes.weight[one]);
  }
  made.row_lower.assign(budget + 1, 0.0);
  made.row_lower[budget] = -minutes;
  return made;
}

}  // namespace

std::vector<std::size_t> best_within(const HandWork& work, double minutes,
                                     const std::vector<std::size_t>& whole_plan,
                                     const OrderOptions& options) {
  Budget budget(work, minutes, options);
  Sequence best;
  for (Sequence tried : {Sequence{}, budget.beginning(whole_plan)}) {
    budget.fill(tried);
    if (budget.share(tried) > budget.share(best) + worth_it) best = std::move(tried);
  }
  budget.improve(best);
  return budget.in_order(best);
}

double most_within(const HandWork& work, const CoverProblem& cover, double minutes, double free_way) {
  const OrderClasses classes = order_classes(work, 1.0);
  if (classes.count() == 0) return 0.0;
  const BinaryProgram program = program_of(classes, cover, minutes + free_way);
  const BinaryAnswer answer = minimise(program, std::vector<bool>(program.cost.size(), false), {0, 0.0});
  return std::clamp(-answer.bound, 0.0, 1.0);
}

}  // namespace loomgraft::prove
