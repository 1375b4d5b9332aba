#include "diagram/place.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace loomgraft::diagram {
namespace {

// ---- heights

// A part as one block on the vertical line: its length, and the wished height of its top.
struct WishedTop {
  double length = 0.0;
  double top = 0.0;
  double weight = 0.0;
};

// Neighbours that touch, and the height of the first: the weighted median of the wishes, so that most of
// their wires run level.
struct Pool {
  std::vector<std::pair<double, double>> wishes;  // top and weight, by top
  double place = 0.0;
  std::size_t count = 0;

  void set_median() {
    double whole = 0.0;
    for (const auto& [top, weight] : wishes) whole += weight;
    double sum = 0.0;
    for (const auto& [top, weight] : wishes) {
      sum += weight;
      place = top;
      if (2.0 * sum >= whole) break;
    }
  }

  void merge(const Pool& lower) {
    const auto middle = static_cast<std::ptrdiff_t>(wishes.size());
    wishes.insert(wishes.end(), lower.wishes.begin(), lower.wishes.end());
    std::inplace_merge(wishes.begin(), wishes.begin() + middle, wishes.end());
    count += lower.count;
    set_median();
  }
};

// Tops in order and without overlap, with the smallest sum of distances to the wishes.
std::vector<double> ordered_tops(const std::vector<WishedTop>& wishes) {
  std::vector<Pool> pools;
  double before = 0.0;  // lengths of all parts above
  for (const WishedTop& wish : wishes) {
    pools.push_back({{{wish.top - before, wish.weight}}, wish.top - before, 1});
    before += wish.length;
    while (pools.size() > 1 && pools[pools.size() - 2].place > pools.back().place) {
      pools[pools.size() - 2].merge(pools.back());
      pools.pop_back();
    }
  }
  std::vector<double> tops;
  before = 0.0;
  for (const Pool& pool : pools) {
    for (std::size_t i = 0; i < pool.count; ++i) {
      tops.push_back(pool.place + before);
      before += wishes[tops.size() - 1].length;
    }
  }
  return tops;
}

class Placer {
 public:
  Placer(const DiagramNet& net, const PlaceOptions& options) : net_(net), options_(options) {
    places_.parts.resize(net.parts.size());
    places_.ends.resize(net.legs.size(), {0.0, 0.0});
    for (std::size_t column = 0; column < net.columns.size(); ++column) place_column(column);
    move_to_top();
  }
  NetPlaces take() { return std::move(places_); }

 private:
  double length_of(std::size_t index) const {
    const NetPart& part = net_.parts[index];
    double length = part.head + part.foot + options_.gap;
    std::size_t rows = 0;
    for (const NetGroup& group : part.groups) {
      rows += group.rows();
      if (&group != &first_group(part)) length += group.apart;
    }
    return length + options_.pitch * static_cast<double>(rows > 0 ? rows - 1 : 0);
  }

  static const NetGroup& first_group(const NetPart& part) { return part.groups[part.sequence.front()]; }

  // From the part's top to its port, before rows are moved to free heights.
  double offset_of(std::size_t index, std::size_t leg) const {
    const NetPart& part = net_.parts[index];
    double y = part.head;
    for (const std::size_t g : part.sequence) {
      const NetGroup& group = part.groups[g];
      if (&group != &first_group(part)) y += group.apart;
      const auto found = std::find(group.left.begin(), group.left.end(), leg);
      if (found != group.left.end())
        return y + options_.pitch *
                       static_cast<double>(found - group.left.begin() + first_row(group, group.left.size()));
      y += options_.pitch * static_cast<double>(group.rows());
    }
    return y;
  }

  static std::ptrdiff_t first_row(const NetGroup& group, std::size_t used) {
    return static_cast<std::ptrdiff_t>((group.rows() - std::max<std::size_t>(used, 1)) / 2);
  }

  WishedTop wish_of(std::size_t index) const {
    const NetPart& part = net_.parts[index];
    WishedTop wish{length_of(index), 0.0, 0.0};
    const double weight = part.passing ? 3.0 : 1.0;  // a wire that only passes should run straight
    for (const NetGroup& group : part.groups) {
      for (const std::size_t leg : group.left) {
        const NetLeg& l = net_.legs[leg];
        if (l.stub()) continue;
        const std::size_t far = l.ends[0].part == index ? 1 : 0;
        if (!l.ends[far].right || net_.parts[l.ends[far].part].column >= part.column) continue;
        wish.top += weight * (places_.ends[leg][far] - offset_of(index, leg));
        wish.weight += weight;
      }
    }
    if (wish.weight > 0.0) wish.top /= wish.weight;
    return wish;
  }

  // Parts without a wish follow their neighbours below.
  std::vector<WishedTop> wishes_of(const std::vector<std::size_t>& order) const {
    std::vector<WishedTop> wishes;
    wishes.reserve(order.size());
    for (const std::size_t part : order) wishes.push_back(wish_of(part));
    for (std::size_t i = 0; i < wishes.size(); ++i) {
      const Band band = net_.parts[order[i]].band;
      if (i > 0 && band != Band::any && band != net_.parts[order[i - 1]].band)
        wishes[i - 1].length += options_.band_gap;
    }
    double next = 0.0;
    for (std::size_t i = wishes.size(); i-- > 0;) {
      constexpr double faint = 1e-4;
      if (wishes[i].weight > 0.0) {
        next = wishes[i].top;
      } else {
        next -= wishes[i].length;
        wishes[i].top = next;
        wishes[i].weight = faint;
      }
    }
    return wishes;
  }

  // Heights in the channel left of the column that are used by ports of the column before.
  std::map<long, std::size_t> taken_before(std::size_t column) const {
    std::map<long, std::size_t> taken;
    for (std::size_t leg = 0; leg < net_.legs.size(); ++leg) {
      const NetLeg& l = net_.legs[leg];
      if (l.channel != column || l.stub()) continue;
      for (const std::size_t e : {std::size_t{0}, std::size_t{1}}) {
        if (l.ends[e].right) taken[step_of(places_.ends[leg][e])] = leg;
      }
    }
    return taken;
  }

  // Rows are on a grid of half a pitch: two steps apart within a column.
  double step() const { return 0.5 * options_.pitch; }
  long step_of(double y) const { return std::lround(y / step()); }

  void set_end(std::size_t leg, std::size_t part, std::size_t group, bool right, double y) {
    const NetLeg& l = net_.legs[leg];
    for (std::size_t e = 0; e < 2; ++e) {
      const NetEnd& end = l.ends[e];
      if (end.part == part && end.group == group && end.right == right) places_.ends[leg][e] = y;
    }
  }

  void place_group(std::size_t part, std::size_t g, double& y, const std::map<long, std::size_t>& taken) {
    const NetGroup& group = net_.parts[part].groups[g];
    std::vector<double>& rows = places_.parts[part].rows[g];
    const auto first_left = static_cast<std::size_t>(first_row(group, group.left.size()));
    const auto first_right = static_cast<std::size_t>(first_row(group, group.right.size()));
    if (&group != &first_group(net_.parts[part])) y += group.apart;
    for (std::size_t row = 0; row < group.rows(); ++row) {
      long at = static_cast<long>(std::ceil(y / step() - 1e-6));
      const bool has_left = row >= first_left && row - first_left < group.left.size();
      if (has_left) {
        const std::size_t leg = group.left[row - first_left];
        for (auto found = taken.find(at); found != taken.end() && found->second != leg;
             found = taken.find(at))
          ++at;
        set_end(leg, part, g, false, static_cast<double>(at) * step());
      }
      const double place = static_cast<double>(at) * step();
      const bool has_right = row >= first_right && row - first_right < group.right.size();
      if (has_right) set_end(group.right[row - first_right], part, g, true, place);
      rows.push_back(place);
      y = place + options_.pitch;
    }
  }

  void place_column(std::size_t column) {
    const std::vector<std::size_t>& order = net_.columns[column];
    const std::vector<WishedTop> wishes = wishes_of(order);
    const std::vector<double> tops = ordered_tops(wishes);
    const std::map<long, std::size_t> taken = taken_before(column);
    double free_from = -1e9;
    for (std::size_t i = 0; i < order.size(); ++i) {
      const NetPart& part = net_.parts[order[i]];
      PlacedPart& placed = places_.parts[order[i]];
      placed.rows.resize(part.groups.size());
      placed.top = std::max(tops[i], free_from);
      // To the nearest step, but never onto the part above.
      const double wished = static_cast<double>(step_of(tops[i] + part.head)) * step();
      double y = std::max(wished, free_from + part.head);
      bool first = true;
      for (const std::size_t g : part.sequence) {
        place_group(order[i], g, y, taken);
        if (first) placed.top = placed.rows[g].front() - part.head;
        first = false;
      }
      placed.bottom = y - options_.pitch + part.foot;
      free_from = placed.bottom + (wishes[i].length - length_of(order[i])) + options_.gap;
    }
  }

  void move_to_top() {
    double top = 1e9;
    double bottom = -1e9;
    for (const PlacedPart& part : places_.parts) {
      top = std::min(top, part.top);
      bottom = std::max(bottom, part.bottom);
    }
    if (places_.parts.empty()) return;
    for (PlacedPart& part : places_.parts) {
      part.top -= top;
      part.bottom -= top;
      for (auto& rows : part.rows) {
        for (double& y : rows) y -= top;
      }
    }
    for (auto& ends : places_.ends) {
      for (double& y : ends) y -= top;
    }
    places_.height = bottom - top;
  }

  const DiagramNet& net_;
  const PlaceOptions& options_;
  NetPlaces places_;
};

// ---- tracks

// A leg in its channel: the stretch of its track, and which of its ends come in from the left.
struct Run {
  std::size_t leg = 0;
  double top = 0.0;
  double bottom = 0.0;
  std::array<double, 2> y{};
  std::array<bool, 2> from_left{};
  bool both_left() const { return from_left[0] && from_left[1]; }
  bool both_right() const { return !from_left[0] && !from_left[1]; }
  double left_y() const { return from_left[0] ? y[0] : y[1]; }
  double right_y() const { return from_left[0] ? y[1] : y[0]; }
};

// Crossings of the pair when `a` is left of `b`.
int crossings_left_of(const Run& a, const Run& b) {
  int count = 0;
  for (std::size_t e = 0; e < 2; ++e) {
    if (b.from_left[e] && a.top < b.y[e] && b.y[e] < a.bottom) ++count;
    if (!a.from_left[e] && b.top < a.y[e] && a.y[e] < b.bottom) ++count;
  }
  return count;
}

// A rank such that runs sorted by it are in a best order: see the header.
std::pair<int, double> rank_of(const Run& run) {
  if (run.both_left()) return {0, run.bottom - run.top};
  if (run.both_right()) return {3, run.top - run.bottom};
  if (run.right_y() > run.left_y()) return {1, -run.left_y()};
  return {2, run.left_y()};
}

std::vector<Run> runs_of(const DiagramNet& net, const NetPlaces& places, std::size_t channel) {
  std::vector<Run> runs;
  for (std::size_t leg = 0; leg < net.legs.size(); ++leg) {
    const NetLeg& l = net.legs[leg];
    if (l.channel != channel || l.stub()) continue;
    Run run;
    run.leg = leg;
    run.y = places.ends[leg];
    run.from_left = {l.ends[0].right, l.ends[1].right};
    run.top = std::min(run.y[0], run.y[1]);
    run.bottom = std::max(run.y[0], run.y[1]);
    if (run.bottom - run.top < 1e-6) continue;
    runs.push_back(run);
  }
  std::stable_sort(runs.begin(), runs.end(),
                   [](const Run& a, const Run& b) { return rank_of(a) < rank_of(b); });
  return runs;
}

void pack_channel(const DiagramNet& net, const PlaceOptions& options, std::size_t channel,
                  NetPlaces& places) {
  const std::vector<Run> runs = runs_of(net, places, channel);
  std::size_t count = 0;
  std::vector<bool> blocked;
  for (std::size_t i = 0; i < runs.size(); ++i) {
    std::size_t track = 0;
    blocked.assign(count + 1, false);
    for (std::size_t j = 0; j < i; ++j) {
      const std::size_t other = places.track[runs[j].leg];
      if (crossings_left_of(runs[j], runs[i]) < crossings_left_of(runs[i], runs[j]))
        track = std::max(track, other + 1);
      if (runs[j].top < runs[i].bottom + options.clearance &&
          runs[i].top < runs[j].bottom + options.clearance)
        blocked[other] = true;
    }
    while (track < blocked.size() && blocked[track]) ++track;
    places.track[runs[i].leg] = track;
    count = std::max(count, track + 1);
  }
  places.tracks[channel] = count;
}

}  // namespace

NetPlaces place_net(const DiagramNet& net, const PlaceOptions& options) {
  NetPlaces places = Placer(net, options).take();
  places.track.assign(net.legs.size(), nothing);
  places.tracks.assign(net.channels(), 0);
  for (std::size_t channel = 0; channel < net.channels(); ++channel)
    pack_channel(net, options, channel, places);
  return places;
}

}  // namespace loomgraft::diagram
