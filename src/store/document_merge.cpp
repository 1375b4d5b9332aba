// A recursive three-way merge. Objects are merged member by member, keyed lists item by item; the order of a list is
// that of the side that reordered it, with the new items of the other side behind the same neighbours.
#include "store/document_merge.h"

#include <algorithm>
#include <map>
#include <set>

#include "store/document_patch.h"
#include "store/list_keys.h"

namespace loomgraft::store {
namespace {

using Json = nlohmann::json;

// Absence is a value of its own; a pointer is null for it.
struct Three {
  const Json* base;
  const Json* mine;
  const Json* theirs;
};

bool same(const Json* a, const Json* b) {
  return a == b || (a != nullptr && b != nullptr && *a == *b);
}

const Json* member(const Json* object, const std::string& name) {
  if (object == nullptr) return nullptr;
  const auto found = object->find(name);
  return found == object->end() ? nullptr : &*found;
}

class Merger {
 public:
  // Nothing is returned where the merged place is absent.
  std::optional<Json> merge(Three three, const std::string& pointer) {
    if (same(three.mine, three.theirs) || same(three.base, three.mine)) return copy(three.theirs);
    if (same(three.base, three.theirs)) return copy(three.mine);
    if (all(three, &Json::is_object)) return merge_objects(three, pointer);
    if (all(three, &Json::is_array)) return merge_lists(three, pointer);
    return conflict_at(three, pointer);
  }

  std::vector<Conflict> conflicts;

 private:
  static std::optional<Json> copy(const Json* value) {
    return value == nullptr ? std::nullopt : std::optional<Json>(*value);
  }

  // A member that was not there before counts as empty: both may begin the same list.
  static bool all(const Three& three, bool (Json::*is_kind)() const noexcept) {
    return three.mine != nullptr && three.theirs != nullptr && (three.mine->*is_kind)() &&
           (three.theirs->*is_kind)() && (three.base == nullptr || (three.base->*is_kind)());
  }

  std::optional<Json> conflict_at(const Three& three, const std::string& pointer, bool removed = false) {
    conflicts.push_back({pointer, removed, three.base == nullptr ? Json() : *three.base,
                         three.theirs == nullptr ? Json() : *three.theirs});
    return copy(three.theirs);
  }

  Json merge_objects(const Three& three, const std::string& pointer) {
    std::set<std::string> names;
    for (const Json* object : {three.mine, three.theirs}) {
      for (const auto& [name, value] : object->items()) names.insert(name);
    }
    Json merged = Json::object();
    for (const std::string& name : names) {
      auto value = merge({member(three.base, name), member(three.mine, name), member(three.theirs, name)},
                         pointer + pointer_token(name));
      if (value) merged[name] = std::move(*value);
    }
    return merged;
  }

  std::optional<Json> merge_lists(const Three& three, const std::string& pointer) {
    static const Json nothing = Json::array();
    const Three lists{three.base == nullptr ? &nothing : three.base, three.mine, three.theirs};
    const auto keys = keys_of({lists.base, lists.mine, lists.theirs});
    if (keys) return merge_keyed(lists, *keys, pointer);
    if (lists.base->size() == lists.mine->size() && lists.base->size() == lists.theirs->size()) {
      return merge_by_index(lists, pointer);
    }
    if (only_appended(*lists.base, *lists.mine) && only_appended(*lists.base, *lists.theirs)) {
      Json merged = *lists.theirs;
      for (std::size_t i = lists.base->size(); i < lists.mine->size(); ++i)
        merged.push_back((*lists.mine)[i]);
      return merged;
    }
    return conflict_at(three, pointer);
  }

  // Records only: the order of plain words (the paths of a wire) means something.
  static bool only_appended(const Json& base, const Json& changed) {
    return changed.size() >= base.size() && std::equal(base.begin(), base.end(), changed.begin()) &&
           std::all_of(changed.begin(), changed.end(), [](const Json& item) { return item.is_object(); });
  }

  Json merge_by_index(const Three& lists, const std::string& pointer) {
    Json merged = Json::array();
    for (std::size_t i = 0; i < lists.base->size(); ++i) {
      auto value = merge({&(*lists.base)[i], &(*lists.mine)[i], &(*lists.theirs)[i]},
                         pointer + "/" + std::to_string(i));
      merged.push_back(value ? std::move(*value) : Json());
    }
    return merged;
  }

  using Positions = std::map<std::string_view, std::size_t>;
  static Positions positions_of(const ItemKeys& keys) {
    Positions positions;
    for (std::size_t i = 0; i < keys.size(); ++i) positions[keys[i]] = i;
    return positions;
  }

  static const Json* item(const Json* list, const Positions& positions, const std::string& key) {
    const auto found = positions.find(key);
    return found == positions.end() ? nullptr : &(*list)[found->second];
  }

  static std::size_t position_of(const std::string& key, const Positions& first, const Positions& second) {
    const auto found = first.find(key);
    if (found != first.end()) return found->second;
    const auto other = second.find(key);
    return other == second.end() ? 0 : other->second;
  }

  std::optional<Json> merge_keyed(const Three& lists, const std::vector<ItemKeys>& keys,
                                  const std::string& pointer) {
    const auto order = merged_order(keys);
    if (!order) return conflict_at(lists, pointer);
    const Positions base_at = positions_of(keys[0]);
    const Positions mine_at = positions_of(keys[1]);
    const Positions theirs_at = positions_of(keys[2]);
    Json merged = Json::array();
    for (const std::string& key : *order) {
      const Three items{item(lists.base, base_at, key), item(lists.mine, mine_at, key),
                        item(lists.theirs, theirs_at, key)};
      const std::string there = pointer + "/" + std::to_string(position_of(key, theirs_at, base_at));
      // Two new items of one name are two different things that happen to be called the same.
      const bool named_twice = items.base == nullptr && items.mine != nullptr && items.theirs != nullptr &&
                               *items.mine != *items.theirs;
      const bool removed = items.base != nullptr && items.theirs == nullptr && items.mine != nullptr &&
                           *items.base != *items.mine;
      auto value = named_twice || removed ? conflict_at(items, there, removed) : merge(items, there);
      if (value) merged.push_back(std::move(*value));
    }
    return merged;
  }

  static ItemKeys kept(const ItemKeys& keys, const std::set<std::string>& wanted) {
    ItemKeys out;
    std::copy_if(keys.begin(), keys.end(), std::back_inserter(out),
                 [&](const std::string& key) { return wanted.contains(key); });
    return out;
  }

  // The order of whoever changed the order, with the other's new items behind the item they stood behind.
  static std::optional<ItemKeys> merged_order(const std::vector<ItemKeys>& keys) {
    const std::set<std::string> mine(keys[1].begin(), keys[1].end());
    const std::set<std::string> theirs(keys[2].begin(), keys[2].end());
    const bool mine_moved = kept(keys[0], mine) != kept(keys[1], {keys[0].begin(), keys[0].end()});
    const bool theirs_moved = kept(keys[0], theirs) != kept(keys[2], {keys[0].begin(), keys[0].end()});
    if (mine_moved && theirs_moved && kept(keys[1], theirs) != kept(keys[2], mine)) return std::nullopt;
    ItemKeys order = mine_moved && !theirs_moved ? keys[1] : keys[2];
    const ItemKeys& other = mine_moved && !theirs_moved ? keys[2] : keys[1];
    std::set<std::string> placed(order.begin(), order.end());
    auto at = order.begin();
    for (const std::string& key : other) {
      if (placed.insert(key).second) {
        at = order.insert(at, key) + 1;
      } else {
        auto found = std::find(at, order.end(), key);
        if (found == order.end()) found = std::find(order.begin(), order.end(), key);
        at = found + 1;
      }
    }
    return order;
  }
};

}  // namespace

Merged merge_documents(const Json& base, const Json& mine, const Json& theirs) {
  Merger merger;
  auto document = merger.merge({&base, &mine, &theirs}, "");
  return {document ? std::move(*document) : Json(), std::move(merger.conflicts)};
}

}  // namespace loomgraft::store
