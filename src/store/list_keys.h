// What names the items of a list in the document, so that they are found again wherever they stand.
//
// Model   an item is named by its id, else by its cavity of a connector, else by its name or rule; a list is
//         keyed where every item has such a name and no two have the same
// Gives   keys in the order of the list; an empty list is keyed by anything
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <vector>

namespace loomgraft::store {

using ItemKeys = std::vector<std::string>;

// The name of one item, empty where it has none.
std::string key_of(const nlohmann::json& item);

// The keys of several lists under one naming, or nothing where one of them has none. The naming is that of
// the first kind which fits all lists.
std::optional<std::vector<ItemKeys>> keys_of(const std::vector<const nlohmann::json*>& lists);

}  // namespace loomgraft::store
