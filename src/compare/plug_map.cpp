#include "compare/plug_map.h"

#include <algorithm>
#include <set>
#include <tuple>

namespace loomgraft {
namespace {

struct PlugSimilarity {
  std::size_t functions = 0;  // cavities of one name with one function
  std::size_t cavities = 0;
};

PlugSimilarity pair_similarity(const ModuleView& found, std::size_t f, const ModuleView& donor,
                               std::size_t d) {
  std::set<std::pair<std::uint32_t, FunctionId>> functions;
  std::set<std::uint32_t> cavities;
  for (const PinKey& pin : found.pins) {
    if (pin.connector != f) continue;
    functions.emplace(pin.cavity, pin.function);
    cavities.insert(pin.cavity);
  }
  PlugSimilarity similarity;
  for (const PinKey& pin : donor.pins) {
    if (pin.connector != d) continue;
    similarity.cavities += cavities.contains(pin.cavity) ? 1u : 0u;
    similarity.functions += pin.function != 0 && functions.contains({pin.cavity, pin.function}) ? 1u : 0u;
  }
  return similarity;
}

}  // namespace

PlugMap map_plugs(const ModuleView& found, const ModuleView& donor) {
  PlugMap map;
  map.found_of.assign(donor.connectors.size(), no_plug);
  std::vector<bool> taken(found.connectors.size(), false);
  for (std::size_t d = 0; d < donor.connectors.size(); ++d) {
    for (std::size_t f = 0; f < found.connectors.size() && map.found_of[d] == no_plug; ++f) {
      const bool same_name =
          donor.connectors[d].name != 0 && donor.connectors[d].name == found.connectors[f].name;
      if (!same_name || taken[f]) continue;
      map.found_of[d] = static_cast<std::uint16_t>(f);
      taken[f] = true;
    }
  }
  // What names left open goes to the most similar pair first; ties to the earlier donor plug, then the
  // earlier found plug.
  struct Pair {
    PlugSimilarity similarity;
    std::size_t d, f;
  };
  std::vector<Pair> open;
  for (std::size_t d = 0; d < donor.connectors.size(); ++d) {
    for (std::size_t f = 0; f < found.connectors.size(); ++f) {
      if (map.found_of[d] == no_plug && !taken[f])
        open.push_back({pair_similarity(found, f, donor, d), d, f});
    }
  }
  std::stable_sort(open.begin(), open.end(), [](const Pair& a, const Pair& b) {
    return std::tie(a.similarity.functions, a.similarity.cavities) >
           std::tie(b.similarity.functions, b.similarity.cavities);
  });
  for (const Pair& pair : open) {
    if (map.found_of[pair.d] != no_plug || taken[pair.f]) continue;
    map.found_of[pair.d] = static_cast<std::uint16_t>(pair.f);
    taken[pair.f] = true;
    map.guessed = true;
  }
  return map;
}

}  // namespace loomgraft
