#include "diagram/order.h"

#include <cmath>
#include <cstdint>
#include <numeric>

#include "diagram/chords.h"

namespace loomgraft::diagram {
namespace {

// ---- one pass: wires of a group, groups of a part, parts of a column

// Wires of one side, so that none of them cross each other: the one whose other end is farthest round the
// edge comes first.
bool sort_wires(DiagramNet& net, Chords& chords, std::size_t part) {
  bool changed = false;
  for (std::size_t g = 0; g < net.parts[part].groups.size(); ++g) {
    for (const bool right : {false, true}) {
      std::vector<std::size_t>& legs = net.parts[part].groups[g].side(right);
      if (legs.size() < 2) continue;
      const std::vector<std::size_t> before = legs;
      std::stable_sort(legs.begin(), legs.end(), [&](std::size_t a, std::size_t b) {
        const double distance_a = chords.distance_round(a, part, g, right);
        const double distance_b = chords.distance_round(b, part, g, right);
        return right ? distance_a > distance_b : distance_a < distance_b;
      });
      changed = changed || legs != before;
    }
  }
  if (changed) chords.renew_part(part);
  return changed;
}

struct Slot {
  std::size_t place = 0;
  double gain = 0.0;
};

// The best place for block `moved` between `low` and `high` (one past the last).
Slot best_slot(const Chords& chords, const std::vector<Block>& blocks, std::size_t moved, std::size_t low,
               std::size_t high, double half) {
  Slot best{moved, 0.0};
  double change = 0.0;
  for (std::size_t i = moved + 1; i < high; ++i) {
    change += chords.change_on_passing(blocks[moved], blocks[i], half);
    if (change < best.gain - 1e-9) best = {i, change};
  }
  change = 0.0;
  for (std::size_t i = moved; i-- > low;) {
    change += chords.change_on_passing(blocks[moved], blocks[i], -half);
    if (change < best.gain - 1e-9) best = {i, change};
  }
  return best;
}

template <class T>
void move_within(std::vector<T>& list, std::size_t from, std::size_t to) {
  const auto begin = list.begin();
  const auto at = [&](std::size_t i) { return begin + static_cast<std::ptrdiff_t>(i); };
  if (from < to) std::rotate(at(from), at(from + 1), at(to + 1));
  if (to < from) std::rotate(at(to), at(from), at(from + 1));
}

// How far a part is tried from its place: all the way in columns of printable size, less in huge ones.
std::size_t reach_in(std::size_t parts) {
  constexpr std::size_t tries = 60000;
  return std::max<std::size_t>(10, tries / std::max<std::size_t>(parts, 1));
}

bool sift_parts(DiagramNet& net, Chords& chords, std::size_t column) {
  std::vector<std::size_t>& order = net.columns[column];
  const std::vector<std::size_t> each = order;
  std::vector<Block> blocks;
  blocks.reserve(order.size());
  for (const std::size_t part : order) blocks.push_back(chords.block_of_part(part));
  const std::size_t reach = reach_in(order.size());
  bool better = false;
  for (const std::size_t part : each) {
    const auto at = static_cast<std::size_t>(std::find(order.begin(), order.end(), part) - order.begin());
    std::size_t low = at;
    std::size_t high = at + 1;
    const Band band = net.parts[part].band;
    while (low > 0 && at - low < reach && may_stand_above(band, net.parts[order[low - 1]].band)) --low;
    while (high < order.size() && high - at <= reach && may_stand_above(net.parts[order[high]].band, band))
      ++high;
    const Slot slot = best_slot(chords, blocks, at, low, high, 0.5);
    if (slot.place == at) continue;
    move_within(order, at, slot.place);
    move_within(blocks, at, slot.place);
    for (std::size_t i = 0; i < blocks.size(); ++i) blocks[i].base = static_cast<double>(i);
    chords.renew_column(column);
    better = true;
  }
  return better;
}

bool sift_groups(DiagramNet& net, Chords& chords, std::size_t part_index) {
  NetPart& part = net.parts[part_index];
  std::vector<std::size_t>& order = part.sequence;
  std::vector<Block> blocks;
  blocks.reserve(order.size());
  for (const std::size_t group : order) blocks.push_back(chords.block_of_group(part_index, group));
  const double first = blocks.empty() ? 0.0 : blocks.front().base;
  const double spacing = group_spacing(part);
  bool better = false;
  for (std::size_t group = 0; group < part.groups.size(); ++group) {
    const auto at = static_cast<std::size_t>(std::find(order.begin(), order.end(), group) - order.begin());
    const Slot slot = best_slot(chords, blocks, at, 0, order.size(), 0.5 * spacing);
    if (slot.place == at) continue;
    move_within(order, at, slot.place);
    move_within(blocks, at, slot.place);
    for (std::size_t i = 0; i < blocks.size(); ++i) blocks[i].base = first + spacing * static_cast<double>(i);
    chords.renew_part(part_index);
    better = true;
  }
  return better;
}

bool turn_part(DiagramNet& net, Chords& chords, std::size_t part_index) {
  NetPart& part = net.parts[part_index];
  if (part.groups.size() < 2) return false;
  const std::size_t before = chords.crossings_at(part_index);
  std::reverse(part.sequence.begin(), part.sequence.end());
  chords.renew_part(part_index);
  if (chords.crossings_at(part_index) < before) return true;
  std::reverse(part.sequence.begin(), part.sequence.end());
  chords.renew_part(part_index);
  return false;
}

bool improve_inside(DiagramNet& net, Chords& chords, std::size_t column) {
  bool better = false;
  for (const std::size_t part : net.columns[column]) {
    if (net.parts[part].turning == Turning::turned) better = turn_part(net, chords, part) || better;
    if (net.parts[part].turning == Turning::free) better = sift_groups(net, chords, part) || better;
    sort_wires(net, chords, part);
  }
  return better;
}

// ---- sweeps

// The mean position of the far ends of the legs on one side; without legs its own position.
double wish_of(const DiagramNet& net, const Chords& chords, std::size_t part, bool right, double own) {
  double sum = 0.0;
  double count = 0.0;
  for (const NetGroup& group : net.parts[part].groups) {
    for (const std::size_t leg : group.side(right)) {
      const NetEnd* far = chords.far_end(leg, part);
      if (far == nullptr || net.parts[far->part].column == net.parts[part].column) continue;
      sum += chords.share_of_column(leg, *far);
      count += 1.0;
    }
  }
  return count > 0.0 ? sum / count : own;
}

using Wishes = std::vector<std::pair<double, std::size_t>>;

// By wish, with the bands kept: a part that wishes to be above a higher band follows it.
void sort_wishes(const DiagramNet& net, Wishes& wishes) {
  const auto by_wish = [](const auto& a, const auto& b) { return a.first < b.first; };
  Wishes banded;
  Wishes others;
  for (const auto& wish : wishes)
    (net.parts[wish.second].band == Band::any ? others : banded).push_back(wish);
  std::stable_sort(banded.begin(), banded.end(), [&](const auto& a, const auto& b) {
    const Band band_a = net.parts[a.second].band;
    const Band band_b = net.parts[b.second].band;
    return band_a != band_b ? band_a < band_b : by_wish(a, b);
  });
  for (std::size_t i = 1; i < banded.size(); ++i)
    banded[i].first = std::max(banded[i].first, banded[i - 1].first);
  std::stable_sort(others.begin(), others.end(), by_wish);
  std::merge(banded.begin(), banded.end(), others.begin(), others.end(), wishes.begin(), by_wish);
}

// Fixed numbers between -1 and 1: the same on every machine (Lehmer 1951, as minstd).
struct FixedRandom {
  std::uint64_t state = 20011;
  double next() {
    state = state * 48271U % 2147483647U;
    return 2.0 * static_cast<double>(state) / 2147483647.0 - 1.0;
  }
};

void sweep_column(DiagramNet& net, Chords& chords, std::size_t column, bool right) {
  std::vector<std::size_t>& order = net.columns[column];
  Wishes wishes;
  for (std::size_t i = 0; i < order.size(); ++i) {
    const double own = (static_cast<double>(i) + 0.5) / static_cast<double>(order.size());
    wishes.emplace_back(wish_of(net, chords, order[i], right, own), order[i]);
  }
  sort_wishes(net, wishes);
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = wishes[i].second;
  chords.renew_column(column);
  improve_inside(net, chords, column);
}

// What a pass costs, roughly.
double work_of(const DiagramNet& net) {
  double work = 0.0;
  for (const auto& column : net.columns) work += static_cast<double>(column.size() * column.size());
  return work;
}

void sift_to_minimum(DiagramNet& net, Chords& chords, int most) {
  constexpr double affordable = 4.0e6;
  const int passes = std::clamp(static_cast<int>(affordable / std::max(work_of(net), 1.0)), 1, most);
  for (int pass = 0; pass < passes; ++pass) {
    bool better = false;
    for (std::size_t column = 0; column < net.columns.size(); ++column) {
      better = sift_parts(net, chords, column) || better;
      better = improve_inside(net, chords, column) || better;
    }
    if (!better) break;
  }
}

struct Best {
  DiagramNet net;
  std::size_t crossings = nothing;
  void keep(const DiagramNet& candidate, bool also_equal = false) {
    const std::size_t count = count_crossings(candidate);
    if (count > crossings || (count == crossings && !also_equal)) return;
    net = candidate;
    crossings = count;
  }
};

// ---- every order of a small net

// The number of orders, or a number above `limit` where there are more.
std::size_t count_orders(const DiagramNet& net, std::size_t limit) {
  double orders = 1.0;
  const auto factorial = [](std::size_t n) { return std::tgamma(static_cast<double>(n) + 1.0); };
  for (const auto& column : net.columns) {
    orders *= factorial(std::min<std::size_t>(column.size(), 20));
  }
  for (const NetPart& part : net.parts) {
    if (part.turning == Turning::turned && part.groups.size() > 1) orders *= 2.0;
    if (part.turning == Turning::free) orders *= factorial(std::min<std::size_t>(part.groups.size(), 20));
    for (const NetGroup& group : part.groups) {
      for (const bool right : {false, true})
        orders *= factorial(std::min<std::size_t>(group.side(right).size(), 20));
    }
    if (orders > static_cast<double>(limit)) return limit + 1;
  }
  return static_cast<std::size_t>(orders);
}

// All lists to be permuted.
struct Stretch {
  std::vector<std::size_t>* list;
  bool only_reversal = false;
  bool banded = false;  // a column: not every order will do
};

std::vector<Stretch> stretches_of(DiagramNet& net) {
  std::vector<Stretch> stretches;
  for (auto& column : net.columns) stretches.push_back({&column, false, true});
  for (NetPart& part : net.parts) {
    if (part.turning != Turning::fixed)
      stretches.push_back({&part.sequence, part.turning == Turning::turned, false});
    for (NetGroup& group : part.groups) {
      for (const bool right : {false, true}) stretches.push_back({&group.side(right), false, false});
    }
  }
  std::erase_if(stretches, [](const Stretch& s) { return s.list->size() < 2; });
  return stretches;
}

bool keeps_bands(const DiagramNet& net, const std::vector<std::size_t>& column) {
  Band last = Band::above;
  for (const std::size_t part : column) {
    const Band band = net.parts[part].band;
    if (band == Band::any) continue;
    if (band < last) return false;
    last = band;
  }
  return true;
}

void search(const DiagramNet& net, const std::vector<Stretch>& stretches, std::size_t depth, Best& best) {
  if (best.crossings == 0) return;
  if (depth == stretches.size()) {
    best.keep(net);
    return;
  }
  const Stretch& s = stretches[depth];
  const auto begin = s.list->begin();
  const auto end = s.list->end();
  if (s.only_reversal) {
    search(net, stretches, depth + 1, best);
    std::reverse(begin, end);
    search(net, stretches, depth + 1, best);
    std::reverse(begin, end);
    return;
  }
  const std::vector<std::size_t> before(begin, end);
  std::sort(begin, end);
  do {
    if (!s.banded || keeps_bands(net, *s.list)) search(net, stretches, depth + 1, best);
  } while (std::next_permutation(begin, end));
  std::copy(before.begin(), before.end(), begin);
}

void sort_by_bands(DiagramNet& net) {
  for (auto& column : net.columns) {
    if (keeps_bands(net, column)) continue;
    std::stable_sort(column.begin(), column.end(),
                     [&](std::size_t a, std::size_t b) { return net.parts[a].band < net.parts[b].band; });
  }
}

// Moves some parts of every column, by at most `share` of the column and a little.
void perturb(DiagramNet& net, Chords& chords, FixedRandom& random, double share) {
  for (std::size_t column = 0; column < net.columns.size(); ++column) {
    std::vector<std::size_t>& order = net.columns[column];
    const double reach = 1.5 + 0.5 * share * (1.0 + random.next()) * static_cast<double>(order.size());
    Wishes wishes;
    for (std::size_t i = 0; i < order.size(); ++i) {
      const bool moves = random.next() > 0.6;
      wishes.emplace_back(static_cast<double>(i) + (moves ? reach * random.next() : 0.0), order[i]);
    }
    sort_wishes(net, wishes);
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = wishes[i].second;
    chords.renew_column(column);
  }
}

// New starts cost what a few passes cost: in a large net there are fewer of them.
int affordable(const DiagramNet& net, int most) {
  constexpr double work = 2.2e5;
  return std::min(most, static_cast<int>(work / std::max(work_of(net), 1.0)));
}

// Sweeps from one side, then exchanges.
void improve_from(const DiagramNet& start, bool left_first, const OrderOptions& options, Best& best) {
  DiagramNet net = start;
  Chords chords(net);
  const std::size_t columns = net.columns.size();
  Best own;
  for (int sweep = 0; sweep < options.sweeps; ++sweep) {
    const bool rightwards = (sweep % 2 == 0) == left_first;
    for (std::size_t i = 0; i < columns; ++i)
      sweep_column(net, chords, rightwards ? i : columns - 1 - i, !rightwards);
    own.keep(net);
  }
  net = own.net;
  Chords again(net);
  sift_to_minimum(net, again, options.passes);
  best.keep(net);
}

// Sweeps from different starts end in different local minima.
void improve_from_other_starts(const OrderOptions& options, Best& best) {
  FixedRandom random;
  const DiagramNet first = best.net;
  const int starts = affordable(first, options.starts);
  for (int i = 0; i < starts && best.crossings > 0; ++i) {
    DiagramNet net = first;
    Chords chords(net);
    perturb(net, chords, random, 2.0);
    improve_from(net, i % 2 == 0, options, best);
  }
}

void improve_by_perturbation(const OrderOptions& options, Best& best) {
  FixedRandom random;
  const int perturbations = affordable(best.net, options.perturbations);
  for (int round = 0; round < perturbations && best.crossings > 0; ++round) {
    DiagramNet net = best.net;
    Chords chords(net);
    perturb(net, chords, random, 0.4);
    sift_to_minimum(net, chords, options.passes);
    best.keep(net, true);  // accepts equally good orders
  }
}

}  // namespace

std::size_t count_crossings(const DiagramNet& net) {
  return Chords(net).count();
}

OrderResult order_net(DiagramNet& net, const OrderOptions& options) {
  sort_by_bands(net);
  Best best;
  best.keep(net);
  improve_from(net, true, options, best);
  if (best.crossings > 0) improve_from(net, false, options, best);
  improve_from_other_starts(options, best);
  improve_by_perturbation(options, best);
  const bool all =
      best.crossings == 0 || count_orders(net, options.exhaustive_below) <= options.exhaustive_below;
  if (best.crossings > 0 && all) {
    DiagramNet each = net;
    search(each, stretches_of(each), 0, best);
  }
  net = best.net;
  return {best.crossings, all};
}

}  // namespace loomgraft::diagram
