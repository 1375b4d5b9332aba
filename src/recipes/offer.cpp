#include "recipes/offer.h"

#include <algorithm>
#include <set>

#include "base/ascii.h"
#include "recipes/part_names.h"
#include "standards/dictionary.h"

namespace loomgraft::recipes {
namespace {

// Words of a signal in every spelling that a keyword may have: as written, and as the dictionary normalises them.
std::set<std::string> words_of(const std::string& signal) {
  std::set<std::string> words = words_in(signal);
  const SignalName name = term_dictionary().normalise(signal);
  words.insert(name.words.begin(), name.words.end());
  if (!name.term.empty()) words.insert(lower(name.term));
  return words;
}

}  // namespace

std::vector<Offer> offers_for(const OpenWire& wire) {
  const std::set<std::string> words = words_of(wire.signal);
  std::vector<Offer> offers;
  for (const Recipe& recipe : all_recipes()) {
    const bool same_class = recipe.pin_class == wire.pin_class && wire.pin_class != PinClass::unknown;
    const bool tie_back = recipe.pin_class == PinClass::no_connection;
    const bool unknown = wire.pin_class == PinClass::unknown && recipe.pin_class != PinClass::unknown;
    if (!same_class && !unknown && !tie_back) continue;
    const auto matches = std::ranges::count_if(
        recipe.keywords, [&](const std::string& keyword) { return words.contains(keyword); });
    if (unknown && matches == 0) continue;
    offers.push_back({&recipe,
                      10 * static_cast<int>(matches) - recipe.order - (tie_back && !same_class ? 100 : 0),
                      matches > 0});
  }
  std::ranges::stable_sort(offers, std::ranges::greater{}, &Offer::score);
  return offers;
}

}  // namespace loomgraft::recipes
