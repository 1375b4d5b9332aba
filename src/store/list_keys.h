// The keys of list items in the document, by which they are matched wherever they are in the list.
//
// Model   the key of an item is its id, else its connector and cavity, else its name or rule; a list is keyed if
//         every item has a key and no two have the same
// Gives   keys in the order of the list; an empty list is keyed by anything
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <vector>

namespace loomgraft::store {

using ItemKeys = std::vector<std::string>;

// The key of one item, or empty.
std::string key_of(const nlohmann::json& item);

// The keys of several lists by the first of these members that all lists have, or nothing.
std::optional<std::vector<ItemKeys>> keys_of(const std::vector<const nlohmann::json*>& lists);

}  // namespace loomgraft::store
