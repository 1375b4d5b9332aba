// The layout of diagrams, as geometry: what must hold for every net, and the fewest crossings of small ones.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "diagram/build.h"
#include "diagram/order.h"
#include "diagram/place.h"
#include "tests/diagram/sample_graft.h"

namespace loomgraft::diagram_layout_test {
namespace {

using namespace loomgraft::diagram;

DiagramNet net_of(const Graft& graft, bool joints_apart = true) {
  const DiagramIndex index(graft);
  DiagramOptions options;
  options.show = DiagramShow::difference;
  Choice choice = choose_wires(graft, index, options);
  return build_net(find_parts(graft, index, choice), {joints_apart}).net;
}

// A stroke of a leg within its channel. Tracks stand at 1, 2, ...; the channel's edges are at 0 and beyond.
struct Stroke {
  std::size_t leg;
  double x1, y1, x2, y2;
  bool level() const { return y1 == y2; }
};

std::vector<Stroke> strokes_in(const DiagramNet& net, const NetPlaces& places, std::size_t channel) {
  std::vector<Stroke> strokes;
  const double edge = static_cast<double>(places.tracks[channel]) + 1.0;
  for (std::size_t leg = 0; leg < net.legs.size(); ++leg) {
    const NetLeg& l = net.legs[leg];
    if (l.channel != channel || l.stub()) continue;
    const auto& y = places.ends[leg];
    const double x0 = l.ends[0].right ? 0.0 : edge;
    const double x1 = l.ends[1].right ? 0.0 : edge;
    if (places.track[leg] == nothing) {
      strokes.push_back({leg, std::min(x0, x1), y[0], std::max(x0, x1), y[0]});
      continue;
    }
    const double t = static_cast<double>(places.track[leg]) + 1.0;
    strokes.push_back({leg, std::min(x0, t), y[0], std::max(x0, t), y[0]});
    strokes.push_back({leg, std::min(x1, t), y[1], std::max(x1, t), y[1]});
    strokes.push_back({leg, t, std::min(y[0], y[1]), t, std::max(y[0], y[1])});
  }
  return strokes;
}

bool cross(const Stroke& a, const Stroke& b) {
  if (a.level() == b.level()) return false;
  const Stroke& level = a.level() ? a : b;
  const Stroke& upright = a.level() ? b : a;
  return level.x1 < upright.x1 && upright.x1 < level.x2 && upright.y1 < level.y1 && level.y1 < upright.y2;
}

bool share(const Stroke& a, const Stroke& b) {
  if (a.level() != b.level()) return false;
  if (a.level()) return std::abs(a.y1 - b.y1) < 1e-6 && a.x1 < b.x2 && b.x1 < a.x2;
  return a.x1 == b.x1 && a.y1 <= b.y2 && b.y1 <= a.y2;
}

// By the strokes themselves, which know nothing of chords.
std::size_t drawn_crossings(const DiagramNet& net) {
  const NetPlaces places = place_net(net, {});
  std::size_t count = 0;
  for (std::size_t channel = 0; channel < net.channels(); ++channel) {
    const std::vector<Stroke> strokes = strokes_in(net, places, channel);
    for (std::size_t i = 0; i < strokes.size(); ++i) {
      for (std::size_t j = 0; j < i; ++j) {
        if (strokes[i].leg != strokes[j].leg && cross(strokes[i], strokes[j])) ++count;
      }
    }
  }
  return count;
}

TEST(DiagramLayout, NoTwoWiresShareAStroke) {
  for (std::uint64_t seed = 0; seed < 60; ++seed) {
    DiagramNet net = net_of(random_graft(seed, 5 + seed), seed % 3 != 0);
    order_net(net);
    const NetPlaces places = place_net(net, {});
    for (std::size_t channel = 0; channel < net.channels(); ++channel) {
      const std::vector<Stroke> strokes = strokes_in(net, places, channel);
      for (std::size_t i = 0; i < strokes.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
          ASSERT_FALSE(strokes[i].leg != strokes[j].leg && share(strokes[i], strokes[j]))
              << "seed " << seed << " channel " << channel << " legs " << strokes[i].leg << " and "
              << strokes[j].leg;
        }
      }
    }
  }
}

TEST(DiagramLayout, DrawsAsManyCrossingsAsItCounts) {
  for (std::uint64_t seed = 0; seed < 60; ++seed) {
    DiagramNet net = net_of(random_graft(seed + 100, 4 + seed));
    EXPECT_EQ(count_crossings(net), drawn_crossings(net)) << "before ordering, seed " << seed;
    const std::size_t reached = order_net(net).crossings;
    EXPECT_EQ(reached, count_crossings(net)) << seed;
    EXPECT_EQ(reached, drawn_crossings(net)) << seed;
  }
}

TEST(DiagramLayout, OrderingNeverAddsCrossingsAndKeepsAllParts) {
  for (std::uint64_t seed = 0; seed < 40; ++seed) {
    DiagramNet net = net_of(random_graft(seed + 300, 30));
    DiagramNet before = net;
    // What order_net may start from: the bands.
    for (auto& column : before.columns) {
      std::stable_sort(column.begin(), column.end(), [&](std::size_t a, std::size_t b) {
        return before.parts[a].band < before.parts[b].band;
      });
    }
    EXPECT_LE(order_net(net).crossings, count_crossings(before));
    for (std::size_t c = 0; c < net.columns.size(); ++c) {
      EXPECT_EQ(std::set<std::size_t>(net.columns[c].begin(), net.columns[c].end()),
                std::set<std::size_t>(before.columns[c].begin(), before.columns[c].end()));
    }
    for (std::size_t p = 0; p < net.parts.size(); ++p) {
      if (net.parts[p].turning != Turning::fixed) continue;
      EXPECT_EQ(net.parts[p].sequence, before.parts[p].sequence);
    }
  }
}

TEST(DiagramLayout, SuppliesAreAboveAndEarthsBelow) {
  for (std::uint64_t seed = 0; seed < 40; ++seed) {
    DiagramNet net = net_of(random_graft(seed + 500, 40));
    order_net(net);
    for (const auto& column : net.columns) {
      Band last = Band::above;
      for (const std::size_t part : column) {
        const Band band = net.parts[part].band;
        if (band == Band::any) continue;
        EXPECT_LE(last, band) << seed;
        last = band;
      }
    }
  }
}

TEST(DiagramLayout, PartsOfAColumnDoNotOverlap) {
  for (std::uint64_t seed = 0; seed < 40; ++seed) {
    DiagramNet net = net_of(random_graft(seed + 700, 40));
    for (std::size_t p = 0; p < net.parts.size(); ++p)
      net.parts[p].head = net.parts[p].foot = 1.0 + double(p % 5);
    order_net(net);
    const NetPlaces places = place_net(net, {});
    for (const auto& column : net.columns) {
      for (std::size_t i = 1; i < column.size(); ++i) {
        EXPECT_LE(places.parts[column[i - 1]].bottom, places.parts[column[i]].top + 1e-9) << seed;
      }
    }
  }
}

// ---- every order of a tiny net, counted by its strokes

struct Lists {
  std::vector<std::vector<std::size_t>*> free;
  std::vector<std::vector<std::size_t>*> turned;
};

void try_all(DiagramNet& net, const Lists& lists, std::size_t depth, std::size_t& best) {
  if (depth < lists.free.size()) {
    std::vector<std::size_t>& list = *lists.free[depth];
    std::sort(list.begin(), list.end());
    do try_all(net, lists, depth + 1, best);
    while (std::next_permutation(list.begin(), list.end()));
    return;
  }
  if (depth < lists.free.size() + lists.turned.size()) {
    std::vector<std::size_t>& list = *lists.turned[depth - lists.free.size()];
    for (int way = 0; way < 2; ++way) {
      try_all(net, lists, depth + 1, best);
      std::reverse(list.begin(), list.end());
    }
    return;
  }
  for (const auto& column : net.columns) {
    for (std::size_t i = 1; i < column.size(); ++i) {
      for (std::size_t j = 0; j < i; ++j) {
        if (!may_stand_above(net.parts[column[j]].band, net.parts[column[i]].band)) return;
      }
    }
  }
  best = std::min(best, drawn_crossings(net));
}

TEST(DiagramLayout, ReachesTheFewestCrossingsOfTinyNets) {
  int compared = 0;
  int with_crossings = 0;
  int missed = 0;
  for (std::uint64_t seed = 0; seed < 400 && compared < 60; ++seed) {
    DiagramNet net = net_of(random_graft(seed + 900, 3 + seed % 4, 1 + seed % 2), false);
    DiagramNet each = net;
    Lists lists;
    double orders = 1.0;
    const auto add = [&](std::vector<std::size_t>& list) {
      if (list.size() < 2) return;
      lists.free.push_back(&list);
      orders *= std::tgamma(static_cast<double>(list.size()) + 1.0);
    };
    for (auto& column : each.columns) add(column);
    for (NetPart& part : each.parts) {
      for (NetGroup& group : part.groups) {
        add(group.left);
        add(group.right);
      }
      if (part.turning == Turning::free) add(part.sequence);
      if (part.turning != Turning::turned || part.sequence.size() < 2) continue;
      lists.turned.push_back(&part.sequence);
      orders *= 2.0;
    }
    if (orders > 3000.0 || orders < 4.0) continue;
    std::size_t fewest = nothing;
    try_all(each, lists, 0, fewest);
    DiagramNet again = net;
    OrderOptions without_search;
    without_search.exhaustive_below = 0;
    missed += order_net(again, without_search).crossings > fewest ? 1 : 0;
    const OrderResult reached = order_net(net);
    EXPECT_EQ(reached.crossings, fewest) << "seed " << seed;
    EXPECT_TRUE(reached.proven) << seed;
    ++compared;
    with_crossings += fewest > 0 ? 1 : 0;
  }
  EXPECT_GE(compared, 40);
  EXPECT_GE(with_crossings, 5);
  EXPECT_EQ(missed, 0) << "sweeps and exchanges alone find them too in nets as small as these";
}

// Two columns, one wire between each pair of neighbours, one column shuffled: no crossing is needed.
TEST(DiagramLayout, FindsTheOrderWithoutCrossings) {
  Graft g;
  Module module;
  module.id = "m";
  module.role = ModuleRole::found;
  module.connectors = {"c"};
  g.modules = {module};
  g.connectors = {plug("c", "C")};
  Dice dice;
  std::vector<int> order;
  for (int i = 0; i < 60; ++i) order.push_back(i);
  for (std::size_t i = order.size(); i > 1; --i) std::swap(order[i - 1], order[dice.below(i)]);
  for (const int i : order) {
    const std::string id = std::to_string(i);
    g.devices.push_back(part("d" + id, "lamp", "lamp " + id));
    g.wires.push_back(wire("a" + id, {"c", std::to_string(2 * i)}, {"d" + id, "1"}, "RD"));
    g.wires.push_back(wire("b" + id, {"d" + id, "2"}, {"c", std::to_string(2 * i + 1)}, "BN"));
  }
  DiagramNet net = net_of(g);
  // The devices are listed as they should stand: turn that round.
  std::reverse(net.columns.back().begin(), net.columns.back().end());
  EXPECT_GT(count_crossings(net), 100U);
  const OrderResult result = order_net(net);
  EXPECT_EQ(result.crossings, 0U);
  EXPECT_TRUE(result.proven);
}

}  // namespace
}  // namespace loomgraft::diagram_layout_test
