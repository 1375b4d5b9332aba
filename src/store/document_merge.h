// Two changes of one document made side by side, put together.
//
// Model   from one base, `mine` and `theirs`. A place that only one of them changed takes that change. Items
//         of keyed lists (list_keys.h) are found by key, so what one inserts does not shift what the other
//         edits. Lists without keys are merged place by place while their length stays; where both only
//         appended records, both tails are kept, theirs first
// Gives   the merged document, or every place where they collide: a place changed by both to different ends,
//         an item that one took out and the other changed, an id that both gave to different new items
// Cost    linear, but for n log n of the keys; where items changed places, a search for each of them
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

namespace loomgraft::store {

struct Collision {
  std::string pointer;     // in `theirs`, or in the base where the others took the item out
  bool taken_out = false;  // the others took out a list item that `mine` changes
  nlohmann::json base;     // null where absent
  nlohmann::json theirs;
};

struct Merged {
  nlohmann::json document;
  std::vector<Collision> collisions;
};

Merged merge_documents(const nlohmann::json& base, const nlohmann::json& mine, const nlohmann::json& theirs);

}  // namespace loomgraft::store
