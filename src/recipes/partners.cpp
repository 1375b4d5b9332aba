#include "recipes/partners.h"

#include <algorithm>
#include <cstdlib>
#include <set>

#include "network/cavity_pins.h"
#include "recipes/parts_internal.h"
#include "standards/dictionary.h"

namespace loomgraft::recipes {
namespace {

bool serves_many(PinClass pin_class) {
  switch (pin_class) {
    case PinClass::reference_5v:
    case PinClass::sensor_earth:
    case PinClass::power_earth:
    case PinClass::supply_15:
    case PinClass::supply_30:
    case PinClass::supply_output:
    case PinClass::shield:
      return true;
    default:
      return false;
  }
}

// Donor pins stand in the loom's own plugs of the same names.
CavityRef in_loom(const Graft& graft, const WireEnd& pin, const CavityRef& at) {
  const Connector* other = find_connector(graft, at.connector);
  const Connector* own = find_connector(graft, pin.at);
  if (!other || !own) return at;
  if (other->name == own->name) return {own->id, at.cavity};
  for (const Module& module : graft.modules) {
    if (std::ranges::find(module.connectors, pin.at) == module.connectors.end()) continue;
    for (const std::string& id : module.connectors) {
      const Connector* connector = find_connector(graft, id);
      if (connector && connector->name == other->name) return {id, at.cavity};
    }
  }
  return at;
}

std::set<CavityRef> followed(const std::vector<Wire>& planned) {
  std::set<CavityRef> cavities;
  for (const Wire& wire : planned) {
    if (wire.from.at.empty() || wire.to.at.empty()) continue;
    cavities.insert({wire.from.at, wire.from.cavity});
    cavities.insert({wire.to.at, wire.to.cavity});
  }
  return cavities;
}

int nearness(const CavityRef& a, const WireEnd& b) {
  if (a.connector != b.at) return 0;
  const int distance = std::abs(std::atoi(a.cavity.c_str()) - std::atoi(b.cavity.c_str()));
  return distance == 1 ? 2 : 1;
}

}  // namespace

std::vector<std::string> telling_words(const std::string& signal) {
  static const std::set<std::string> common{
      "sensor",  "signal", "switch", "output", "input", "control",  "driver",    "return",
      "feed",    "supply", "earth",  "ground", "gnd",   "positive", "negative",  "high",
      "low",     "plus",   "minus",  "relay",  "sens",  "ref",      "reference", "sig",
      "and",     "to",     "for",    "of",     "the",   "a",        "b",         "v",
      "circuit", "shield", "screen", "5v",     "12v"};
  std::set<std::string> words;
  std::string word;
  const auto take = [&] {
    const bool number = !word.empty() && std::ranges::all_of(word, is_digit);
    if (!word.empty() && !common.contains(word) && !(number && word.size() > 1)) words.insert(word);
    word.clear();
  };
  for (const char c : signal) {
    if (is_letter(c) || is_digit(c) || static_cast<unsigned char>(c) > 127)
      word += lower(c);
    else
      take();
  }
  take();
  const SignalName name = term_dictionary().normalise(signal);
  if (!name.term.empty()) words.insert(lower(name.term));
  return {words.begin(), words.end()};
}

Partners partners_of(const Graft& graft, const std::vector<Wire>& planned, const Recipe& recipe,
                     const WireEnd& pin, const ForbiddenParts& forbidden) {
  Partners partners;
  partners.cavities["this"] = {pin.at, pin.cavity};
  const PinAt here = pin_at(graft, pin);
  if (!here.module || !here.pin) return partners;
  const std::set<CavityRef> in_use = followed(planned);
  const std::vector<std::string> own = telling_words(here.pin->signal);
  std::set<CavityRef> chosen{{pin.at, pin.cavity}};
  for (const RecipePartner& partner : recipe.partners) {
    const bool shared = serves_many(partner.pin_class);
    struct Found {
      int score = -1;
      CavityRef at;
    } best;
    std::size_t candidates = 0;
    for (const Pin& other : here.module->pins) {
      const CavityRef at = in_loom(graft, pin, other.at);
      if (other.pin_class != partner.pin_class || forbidden.has(other.at) ||
          at == CavityRef{pin.at, pin.cavity})
        continue;
      if (!shared && (chosen.contains(at) || in_use.contains(at))) continue;
      ++candidates;
      const auto words = telling_words(other.signal);
      const auto same = std::ranges::count_if(
          words, [&](const std::string& word) { return std::ranges::find(own, word) != own.end(); });
      const int score = 8 * static_cast<int>(same) + nearness(at, pin) + (chosen.contains(at) ? -6 : 4);
      if (score > best.score) best = {score, at};
    }
    // A pin that is nobody else's is taken only where its name or its being the only one says so.
    const bool sure = shared || candidates == 1 || best.score >= 12;
    if (candidates == 0 || !sure) {
      if (!partner.optional) partners.missing.push_back(partner.role);
      continue;
    }
    chosen.insert(best.at);
    partners.cavities[partner.role] = best.at;
  }
  return partners;
}

}  // namespace loomgraft::recipes
