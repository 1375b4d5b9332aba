#include "diagram/detours.h"

#include <algorithm>
#include <cmath>

#include "diagram/order.h"

namespace loomgraft::diagram {
namespace {

double upright(const NetPlaces& places, std::size_t leg) {
  return std::abs(places.ends[leg][0] - places.ends[leg][1]);
}

double all_upright(const DiagramNet& net, const NetPlaces& places) {
  double sum = 0.0;
  for (std::size_t leg = 0; leg < net.legs.size(); ++leg) {
    if (!net.legs[leg].stub()) sum += upright(places, leg);
  }
  return sum;
}

struct Detour {
  double extra = 0.0;
  std::size_t run = 0;
  double from = 0.0;  // heights of its ends
  double to = 0.0;
};

std::vector<Detour> detours_of(const DiagramNet& net, const std::vector<HopRun>& runs,
                               const NetPlaces& places, double smallest) {
  std::vector<Detour> detours;
  for (std::size_t r = 0; r < runs.size(); ++r) {
    const std::vector<std::size_t>& legs = runs[r].legs;
    if (legs.size() < 2 || net.legs[legs.front()].stub()) continue;
    Detour detour{0.0, r, places.ends[legs.front()][0], places.ends[legs.back()][1]};
    for (const std::size_t leg : legs) detour.extra += upright(places, leg);
    detour.extra -= std::abs(detour.from - detour.to);
    if (detour.extra > smallest) detours.push_back(detour);
  }
  std::stable_sort(detours.begin(), detours.end(),
                   [](const Detour& a, const Detour& b) { return a.extra > b.extra; });
  return detours;
}

// The part goes where its column is at that height.
void move_to_height(DiagramNet& net, const NetPlaces& places, std::size_t part, double height) {
  std::vector<std::size_t>& column = net.columns[net.parts[part].column];
  std::erase(column, part);
  const auto below = std::find_if(column.begin(), column.end(), [&](std::size_t p) {
    return 0.5 * (places.parts[p].top + places.parts[p].bottom) > height;
  });
  column.insert(below, part);
}

DiagramNet moved(const DiagramNet& net, const NetPlaces& places, const HopRun& run, double height) {
  DiagramNet other = net;
  for (std::size_t i = 0; i + 1 < run.legs.size(); ++i)
    move_to_height(other, places, net.legs[run.legs[i]].ends[1].part, height);
  return other;
}

}  // namespace

std::size_t shorten_detours(DiagramNet& net, const std::vector<HopRun>& runs, const PlaceOptions& placing,
                            NetPlaces& places, const DetourOptions& options) {
  std::size_t crossings = count_crossings(net);
  double length = all_upright(net, places);
  std::size_t tries = 0;
  for (const Detour& detour : detours_of(net, runs, places, options.smallest)) {
    for (const double height : {detour.from, detour.to}) {
      if (++tries > options.tries) return crossings;
      DiagramNet other = moved(net, places, runs[detour.run], height);
      const std::size_t count = count_crossings(other);
      if (count > crossings) continue;
      NetPlaces other_places = place_net(other, placing);
      const double other_length = all_upright(other, other_places);
      if (count == crossings && other_length > length - 1e-6) continue;
      net = std::move(other);
      places = std::move(other_places);
      crossings = count;
      length = other_length;
    }
  }
  return crossings;
}

}  // namespace loomgraft::diagram
