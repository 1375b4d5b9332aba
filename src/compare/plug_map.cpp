#include "compare/plug_map.h"

#include <algorithm>
#include <set>
#include <tuple>

namespace loomgraft {
namespace {

struct Likeness {
  std::size_t functions = 0;  // cavities of one name with one function
  std::size_t cavities = 0;
};

Likeness likeness_of(const ModuleView& found, std::size_t f, const ModuleView& donor, std::size_t d) {
  std::set<std::pair<std::uint32_t, FunctionId>> functions;
  std::set<std::uint32_t> cavities;
  for (const PinKey& pin : found.pins) {
    if (pin.connector != f) continue;
    functions.emplace(pin.cavity, pin.function);
    cavities.insert(pin.cavity);
  }
  Likeness likeness;
  for (const PinKey& pin : donor.pins) {
    if (pin.connector != d) continue;
    likeness.cavities += cavities.contains(pin.cavity) ? 1u : 0u;
    likeness.functions += pin.function != 0 && functions.contains({pin.cavity, pin.function}) ? 1u : 0u;
  }
  return likeness;
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
  // What names left open goes to the likest pair first; ties to the earlier donor plug, then the earlier
  // found plug.
  struct Pair {
    Likeness likeness;
    std::size_t d, f;
  };
  std::vector<Pair> open;
  for (std::size_t d = 0; d < donor.connectors.size(); ++d) {
    for (std::size_t f = 0; f < found.connectors.size(); ++f) {
      if (map.found_of[d] == no_plug && !taken[f]) open.push_back({likeness_of(found, f, donor, d), d, f});
    }
  }
  std::stable_sort(open.begin(), open.end(), [](const Pair& a, const Pair& b) {
    return std::tie(a.likeness.functions, a.likeness.cavities) >
           std::tie(b.likeness.functions, b.likeness.cavities);
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
