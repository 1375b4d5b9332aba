#include "diagram/chords.h"

#include <algorithm>
#include <numeric>

namespace loomgraft::diagram {
namespace {

constexpr double room = 0.4;      // of a part's spacing that its own ports take
constexpr double around = 1.0e6;  // more than any column has parts

double position_in(const std::vector<std::size_t>& list, std::size_t entry) {
  return static_cast<double>(std::find(list.begin(), list.end(), entry) - list.begin());
}

}  // namespace

double group_spacing(const NetPart& part) {
  return room / static_cast<double>(std::max<std::size_t>(part.groups.size(), 1));
}

Chords::Chords(const DiagramNet& net)
    : net_(&net),
      ranks_(net.parts.size(), 0.0),
      places_(net.legs.size(), Ends{}),
      by_channel_(net.channels()) {
  for (std::size_t leg = 0; leg < net.legs.size(); ++leg) {
    rights_.push_back({net.legs[leg].ends[0].right, net.legs[leg].ends[1].right});
    if (!net.legs[leg].stub()) by_channel_[net.legs[leg].channel].push_back(leg);
  }
  for (std::size_t column = 0; column < net.columns.size(); ++column) renew_column(column);
}

void Chords::renew_column(std::size_t column) {
  for (std::size_t i = 0; i < net_->columns[column].size(); ++i) {
    ranks_[net_->columns[column][i]] = static_cast<double>(i);
    renew_part(net_->columns[column][i]);
  }
}

void Chords::renew_part(std::size_t index) {
  const NetPart& part = net_->parts[index];
  const double spacing = group_spacing(part);
  for (std::size_t i = 0; i < part.sequence.size(); ++i) {
    const std::size_t group = part.sequence[i];
    const double base = ranks_[index] + spacing * static_cast<double>(i);
    for (const bool right : {false, true}) {
      const std::vector<std::size_t>& legs = part.groups[group].side(right);
      for (std::size_t k = 0; k < legs.size(); ++k) {
        const double place =
            base + room * spacing * static_cast<double>(k) / static_cast<double>(legs.size());
        for (std::size_t e = 0; e < 2; ++e) {
          const NetEnd& end = net_->legs[legs[k]].ends[e];
          if (end.part == index && end.group == group && end.right == right) places_[legs[k]][e] = place;
        }
      }
    }
  }
}

namespace {

// The right side of a part is the left side of the channel, which is gone down.
double key_of(bool right, double place) {
  return right ? place : around - place;
}

}  // namespace

double Chords::key(std::size_t leg, std::size_t end, double place) const {
  return key_of(rights_[leg][end], place);
}

bool Chords::cross(std::size_t a, const Ends& places_a, std::size_t b, const Ends& places_b) const {
  const double a0 = key(a, 0, places_a[0]);
  const double a1 = key(a, 1, places_a[1]);
  const double low = std::min(a0, a1);
  const double high = std::max(a0, a1);
  const auto within = [&](double at) { return low < at && at < high; };
  return within(key(b, 0, places_b[0])) != within(key(b, 1, places_b[1]));
}

// Once round the edge: a chord that ends has crossed those that began after it and are still open. The open
// ones are kept in a tree of counts (Fenwick 1994).
std::size_t Chords::count_in(const std::vector<std::size_t>& legs) const {
  struct Stop {
    double key;
    std::size_t chord;
  };
  std::vector<Stop> stops;
  for (std::size_t i = 0; i < legs.size(); ++i) {
    for (const std::size_t e : {std::size_t{0}, std::size_t{1}})
      stops.push_back({key(legs[i], e, places_[legs[i]][e]), i});
  }
  std::sort(stops.begin(), stops.end(), [](const Stop& a, const Stop& b) { return a.key < b.key; });
  std::vector<std::size_t> begun(legs.size(), nothing);
  std::vector<std::size_t> tree(legs.size() + 1, 0);
  const auto add = [&](std::size_t at, std::size_t one) {
    for (std::size_t i = at + 1; i < tree.size(); i += i & (~i + 1)) tree[i] += one;
  };
  const auto up_to = [&](std::size_t at) {
    std::size_t sum = 0;
    for (std::size_t i = at + 1; i > 0; i -= i & (~i + 1)) sum += tree[i];
    return sum;
  };
  std::size_t sum = 0;
  std::size_t open = 0;
  std::size_t next = 0;
  for (const Stop& stop : stops) {
    if (begun[stop.chord] == nothing) {
      begun[stop.chord] = next;
      add(next++, 1);
      ++open;
    } else {
      sum += open - up_to(begun[stop.chord]);
      add(begun[stop.chord], static_cast<std::size_t>(-1));
      --open;
    }
  }
  return sum;
}

std::size_t Chords::count() const {
  std::size_t sum = 0;
  for (const auto& legs : by_channel_) sum += count_in(legs);
  return sum;
}

std::size_t Chords::crossings_at(std::size_t part) const {
  const Block block = block_of_part(part);
  std::size_t sum = 0;
  for (const std::size_t leg : block.legs) {
    for (const std::size_t other : by_channel_[net_->legs[leg].channel]) {
      if (other == leg || !cross(leg, other)) continue;
      // A pair that is the part's own on both sides is met twice.
      const bool both = std::find(block.legs.begin(), block.legs.end(), other) != block.legs.end();
      sum += both ? 1U : 2U;
    }
  }
  return sum / 2;
}

Chords::Ends Chords::moved_places(const Block& block, std::size_t i, double base) const {
  Ends places = places_[block.legs[i]];
  for (std::size_t e = 0; e < 2; ++e) {
    if (block.mine[i][e]) places[e] += base - block.base;
  }
  return places;
}

double Chords::change_on_passing_simple(const Block& moved, const Block& passed, double half) const {
  int change = 0;
  for (const Block::Chord& a : moved.chords) {
    const double near = key_of(a.right, passed.base - half + a.offset);
    const double far = key_of(a.right, passed.base + half + a.offset);
    for (const Block::Chord& b : passed.chords) {
      if (a.channel != b.channel) continue;
      const double own = key_of(b.right, passed.base + b.offset);
      const auto crosses = [&](double at) {
        const double low = std::min(at, a.far_key);
        const double high = std::max(at, a.far_key);
        return (low < own && own < high) != (low < b.far_key && b.far_key < high);
      };
      change += (crosses(far) ? 1 : 0) - (crosses(near) ? 1 : 0);
    }
  }
  return change;
}

double Chords::change_on_passing(const Block& moved, const Block& passed, double half) const {
  if (moved.simple && passed.simple) return change_on_passing_simple(moved, passed, half);
  const auto index_in = [](const Block& block, std::size_t leg) {
    return static_cast<std::size_t>(std::find(block.legs.begin(), block.legs.end(), leg) -
                                    block.legs.begin());
  };
  double change = 0.0;
  for (std::size_t i = 0; i < moved.legs.size(); ++i) {
    const std::size_t a = moved.legs[i];
    const Ends near_a = moved_places(moved, i, passed.base - half);
    const Ends far_a = moved_places(moved, i, passed.base + half);
    const bool a_passed = index_in(passed, a) < passed.legs.size();
    for (const std::size_t b : passed.legs) {
      if (a == b || net_->legs[a].channel != net_->legs[b].channel) continue;
      const std::size_t k = index_in(moved, b);
      const bool b_moves = k < moved.legs.size();
      const Ends near_b = b_moves ? moved_places(moved, k, passed.base - half) : places_[b];
      const Ends far_b = b_moves ? moved_places(moved, k, passed.base + half) : places_[b];
      const double weight = b_moves && a_passed ? 0.5 : 1.0;  // such a pair is met twice
      change +=
          weight * ((cross(a, far_a, b, far_b) ? 1.0 : 0.0) - (cross(a, near_a, b, near_b) ? 1.0 : 0.0));
    }
  }
  return change;
}

bool Chords::ends_in_one_column(std::size_t leg) const {
  const NetLeg& l = net_->legs[leg];
  return net_->parts[l.ends[0].part].column == net_->parts[l.ends[1].part].column;
}

Block Chords::block_of(std::size_t part, const std::vector<std::size_t>& groups, double base) const {
  Block block;
  block.base = base;
  for (const std::size_t group : groups) {
    for (const bool right : {false, true}) {
      for (const std::size_t leg : net_->parts[part].groups[group].side(right)) {
        if (net_->legs[leg].stub()) continue;
        if (std::find(block.legs.begin(), block.legs.end(), leg) != block.legs.end()) continue;
        std::array<bool, 2> mine{};
        for (std::size_t e = 0; e < 2; ++e) {
          const NetEnd& end = net_->legs[leg].ends[e];
          mine[e] = end.part == part && std::find(groups.begin(), groups.end(), end.group) != groups.end();
        }
        block.legs.push_back(leg);
        block.mine.push_back(mine);
        const std::size_t own = mine[0] ? 0 : 1;
        block.chords.push_back({net_->legs[leg].channel, net_->legs[leg].ends[own].right,
                                places_[leg][own] - base, key(leg, 1 - own, places_[leg][1 - own])});
        if (ends_in_one_column(leg)) block.simple = false;
      }
    }
  }
  return block;
}

Block Chords::block_of_part(std::size_t part) const {
  std::vector<std::size_t> groups(net_->parts[part].groups.size());
  std::iota(groups.begin(), groups.end(), std::size_t{0});
  return block_of(part, groups, ranks_[part]);
}

Block Chords::block_of_group(std::size_t part, std::size_t group) const {
  const double index = position_in(net_->parts[part].sequence, group);
  return block_of(part, {group}, ranks_[part] + index * group_spacing(net_->parts[part]));
}

const NetEnd* Chords::far_end(std::size_t leg, std::size_t part) const {
  const NetLeg& l = net_->legs[leg];
  if (l.stub()) return nullptr;
  return l.ends[0].part == part ? &l.ends[1] : &l.ends[0];
}

double Chords::distance_round(std::size_t leg, std::size_t part, std::size_t group, bool right) const {
  const NetLeg& l = net_->legs[leg];
  if (l.stub()) return 0.0;
  const NetEnd& first = l.ends[0];
  const std::size_t far = first.part == part && first.group == group && first.right == right ? 1 : 0;
  const double index = position_in(net_->parts[part].sequence, group);
  const double own = key_of(right, ranks_[part] + index * group_spacing(net_->parts[part]));
  const double way = key(leg, far, places_[leg][far]) - own;
  return way < 0.0 ? way + 2.0 * around : way;
}

double Chords::share_of_column(std::size_t leg, const NetEnd& end) const {
  const std::size_t e = &net_->legs[leg].ends[0] == &end ? 0 : 1;
  const std::size_t parts = net_->columns[net_->parts[end.part].column].size();
  return places_[leg][e] / static_cast<double>(parts);
}

}  // namespace loomgraft::diagram
