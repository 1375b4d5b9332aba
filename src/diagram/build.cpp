#include "diagram/build.h"

#include <algorithm>
#include <map>
#include <set>

namespace loomgraft::diagram {
namespace {

// Places within a zone, from left to right.
enum Rank { modules = 0, mated = 1, joints = 2, devices = 3, grommets = 4 };

Rank rank_of(const DiagramPart& part, bool joints_apart) {
  if (part.main) return modules;
  if (part.shape == PartShape::mated) return mated;
  if (part.shape == PartShape::grommet) return grommets;
  const DeviceBuild build = part.kind == nullptr ? DeviceBuild::unknown : part.kind->build;
  const bool between = part.shape == PartShape::joint || part.shape == PartShape::relay ||
                       build == DeviceBuild::fuse || build == DeviceBuild::diode;
  return between && joints_apart ? joints : devices;
}

Turning turning_of(const DiagramPart& part) {
  const DeviceBuild build = part.kind == nullptr ? DeviceBuild::unknown : part.kind->build;
  if (part.shape == PartShape::grommet) return Turning::free;
  if (part.shape == PartShape::two_ended || build == DeviceBuild::potentiometer) return Turning::turned;
  return Turning::fixed;
}

class Builder {
 public:
  Builder(const PartsAndHops& found, const BuildOptions& options) : found_(found), options_(options) {}

  BuiltNet build() {
    find_bands();
    make_columns();
    choose_sides();
    turn_mated_pairs();
    make_groups();
    for (std::size_t hop = 0; hop < found_.hops.size(); ++hop) add_run(hop);
    return std::move(built_);
  }

 private:
  DiagramNet& net() { return built_.net; }

  // A relay or joint connected to a supply is placed with the supplies.
  void find_bands() {
    for (const DiagramPart& part : found_.parts) bands_.push_back(part.band);
    std::vector<std::vector<std::size_t>> near(found_.parts.size());
    for (const Hop& hop : found_.hops) {
      if (hop.to.part == nothing) continue;
      near[hop.from.part].push_back(hop.to.part);
      near[hop.to.part].push_back(hop.from.part);
    }
    const auto above = [&](std::size_t p) { return bands_[p] == Band::above; };
    for (std::size_t p = 0; p < near.size(); ++p) {
      if (found_.parts[p].shape == PartShape::relay && std::any_of(near[p].begin(), near[p].end(), above))
        bands_[p] = Band::above;
    }
    for (std::size_t p = 0; p < near.size(); ++p) {
      if (found_.parts[p].shape == PartShape::joint && std::all_of(near[p].begin(), near[p].end(), above))
        bands_[p] = Band::above;
    }
  }

  void make_columns() {
    std::map<std::pair<std::size_t, int>, std::vector<std::size_t>> by_rank;
    for (std::size_t p = 0; p < found_.parts.size(); ++p) {
      const DiagramPart& part = found_.parts[p];
      by_rank[{part.zone, rank_of(part, options_.joints_apart)}].push_back(p);
      NetPart made;
      made.band = bands_[p];
      made.turning = turning_of(part);
      net().parts.push_back(std::move(made));
    }
    for (auto& [rank, parts] : by_rank) {
      for (const std::size_t p : parts) net().parts[p].column = net().columns.size();
      net().columns.push_back(std::move(parts));
    }
  }

  std::size_t column_of(const HopEnd& end) const { return built_.net.parts[end.part].column; }

  // Which side of its part each end of a hop is at.
  void choose_sides() {
    for (const Hop& hop : found_.hops) {
      std::array<bool, 2> right{};
      if (hop.to.part == nothing) {
        right[0] = hop.from.right.value_or(column_of(hop.from) == 0);
      } else {
        const std::size_t a = column_of(hop.from);
        const std::size_t b = column_of(hop.to);
        const bool last = a + 1 == net().columns.size();
        const bool loop_right = a == 0 || (!last && bands_[hop.from.part] == Band::above);
        right = {a == b ? loop_right : a < b, a == b ? loop_right : b < a};
        if (hop.from.right) right[0] = *hop.from.right;
        if (hop.to.right) right[1] = *hop.to.right;
      }
      sides_.push_back(right);
    }
  }

  // A mated pair turns the connector to the left whose wires come from there.
  void turn_mated_pairs() {
    std::vector<double> pull(found_.parts.size(), 0.0);
    const auto add = [&](const HopEnd& end, const HopEnd& far) {
      if (end.part == nothing || far.part == nothing || found_.parts[end.part].shape != PartShape::mated)
        return;
      const double way = static_cast<double>(column_of(far)) - static_cast<double>(column_of(end));
      pull[end.part] += end.right.value_or(false) ? way : -way;
    };
    for (const Hop& hop : found_.hops) {
      add(hop.from, hop.to);
      add(hop.to, hop.from);
    }
    for (const double p : pull) swapped_.push_back(p < 0.0);
    for (std::size_t h = 0; h < found_.hops.size(); ++h) {
      const Hop& hop = found_.hops[h];
      if (swapped_[hop.from.part]) sides_[h][0] = !sides_[h][0];
      if (hop.to.part != nothing && swapped_[hop.to.part]) sides_[h][1] = !sides_[h][1];
    }
    built_.swapped = swapped_;
  }

  // One terminal with wires at the left only, the other at the right only.
  bool lies_flat(std::size_t p, const std::vector<std::array<bool, 2>>& has) const {
    if (found_.parts[p].shape != PartShape::two_ended || has.size() != 2) return false;
    return (has[0][0] != has[0][1]) && (has[1][0] != has[1][1]) && has[0][0] != has[1][0];
  }

  void make_groups() {
    std::vector<std::vector<std::array<bool, 2>>> has(found_.parts.size());
    for (std::size_t p = 0; p < has.size(); ++p) has[p].resize(found_.parts[p].terminals.size());
    for (std::size_t h = 0; h < found_.hops.size(); ++h) {
      const Hop& hop = found_.hops[h];
      has[hop.from.part][hop.from.terminal][sides_[h][0] ? 1 : 0] = true;
      if (hop.to.part != nothing) has[hop.to.part][hop.to.terminal][sides_[h][1] ? 1 : 0] = true;
    }
    for (std::size_t p = 0; p < has.size(); ++p) {
      const bool flat = lies_flat(p, has[p]);
      built_.flat.push_back(flat);
      std::vector<std::size_t> groups;
      for (std::size_t t = 0; t < has[p].size(); ++t) groups.push_back(flat ? 0 : t);
      set_groups(p, flat ? 1 : has[p].size());
      built_.group_of.push_back(std::move(groups));
    }
  }

  void set_groups(std::size_t p, std::size_t count) {
    NetPart& part = net().parts[p];
    part.groups.resize(count);
    for (std::size_t g = 0; g < count; ++g) part.sequence.push_back(g);
    // Supply, earth, wiper: the wiper belongs in the middle.
    const DeviceKind* kind = found_.parts[p].kind;
    if (kind != nullptr && kind->build == DeviceBuild::potentiometer && count == 3) part.sequence = {0, 2, 1};
  }

  NetEnd net_end(const HopEnd& end, bool right) const {
    return {end.part, built_.group_of[end.part][end.terminal], right};
  }

  std::size_t add_leg(std::size_t wire, const NetEnd& a, const NetEnd& b) {
    const std::size_t leg = net().legs.size();
    const std::size_t channel = net().parts[a.part].column + (a.right ? 1U : 0U);
    net().legs.push_back({wire, channel, {a, b}});
    for (const NetEnd& end : {a, b}) {
      if (end.part != nothing) net().parts[end.part].groups[end.group].side(end.right).push_back(leg);
    }
    return leg;
  }

  std::size_t add_passing(std::size_t column) {
    NetPart part;
    part.column = column;
    part.passing = true;
    part.band = Band::any;
    part.groups.resize(1);
    part.sequence = {0};
    net().columns[column].push_back(net().parts.size());
    net().parts.push_back(std::move(part));
    return net().parts.size() - 1;
  }

  void add_run(std::size_t index) {
    const Hop& hop = found_.hops[index];
    HopRun run;
    NetEnd at = net_end(hop.from, sides_[index][0]);
    if (hop.to.part == nothing) {
      run.legs.push_back(add_leg(hop.wire, at, {}));
      built_.runs.push_back(std::move(run));
      return;
    }
    const NetEnd goal = net_end(hop.to, sides_[index][1]);
    std::size_t channel = column_of(hop.from) + (at.right ? 1U : 0U);
    const std::size_t last = column_of(hop.to) + (goal.right ? 1U : 0U);
    while (channel != last) {
      const bool onwards = channel < last;
      const std::size_t passing = add_passing(onwards ? channel : channel - 1);
      run.legs.push_back(add_leg(hop.wire, at, {passing, 0, !onwards}));
      at = {passing, 0, onwards};
      channel = onwards ? channel + 1 : channel - 1;
    }
    run.legs.push_back(add_leg(hop.wire, at, goal));
    built_.runs.push_back(std::move(run));
  }

  const PartsAndHops& found_;
  const BuildOptions& options_;
  BuiltNet built_;
  std::vector<Band> bands_;
  std::vector<std::array<bool, 2>> sides_;
  std::vector<bool> swapped_;
};

}  // namespace

BuiltNet build_net(const PartsAndHops& found, const BuildOptions& options) {
  return Builder(found, options).build();
}

}  // namespace loomgraft::diagram
