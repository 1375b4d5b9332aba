#include "store/list_keys.h"

#include <algorithm>
#include <nlohmann/json.hpp>

namespace loomgraft::store {
namespace {

using Json = nlohmann::json;
using Naming = std::vector<const char*>;

const std::vector<Naming>& namings() {
  static const std::vector<Naming> all = {{"id"}, {"connector", "cavity"}, {"name"}, {"rule"}};
  return all;
}

std::string key_under(const Json& item, const Naming& naming) {
  if (!item.is_object()) return {};
  std::string key;
  for (const char* member : naming) {
    const auto found = item.find(member);
    if (found == item.end() || !found->is_string()) return {};
    if (!key.empty()) key += ' ';
    key += found->get_ref<const std::string&>();
  }
  return key;
}

std::optional<ItemKeys> keys_under(const Json& list, const Naming& naming) {
  ItemKeys keys;
  for (const Json& item : list) {
    keys.push_back(key_under(item, naming));
    if (keys.back().empty()) return std::nullopt;
  }
  ItemKeys sorted = keys;
  std::sort(sorted.begin(), sorted.end());
  if (std::adjacent_find(sorted.begin(), sorted.end()) != sorted.end()) return std::nullopt;
  return keys;
}

}  // namespace

std::string key_of(const Json& item) {
  for (const Naming& naming : namings()) {
    std::string key = key_under(item, naming);
    if (!key.empty()) return key;
  }
  return {};
}

std::optional<std::vector<ItemKeys>> keys_of(const std::vector<const Json*>& lists) {
  for (const Naming& naming : namings()) {
    std::vector<ItemKeys> all;
    for (const Json* list : lists) {
      auto keys = keys_under(*list, naming);
      if (!keys) break;
      all.push_back(std::move(*keys));
    }
    if (all.size() == lists.size()) return all;
  }
  return std::nullopt;
}

}  // namespace loomgraft::store
