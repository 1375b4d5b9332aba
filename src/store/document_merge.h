// Three-way merge of two changes that were made from one document.
//
// Model   `mine` and `theirs` are changes of one base. A value that only one of them changed takes that change.
//         Items of keyed lists (list_keys.h) are matched by key, so insertions of one do not shift the edits of
//         the other. Lists without keys are merged index by index if their length is unchanged; if both only
//         appended records, both tails are kept, theirs first
// Gives   the merged document, or every conflict: a value changed by both to different values, an item removed
//         by one and changed by the other, one id for two different new items
// Cost    linear, plus n log n for the keys; a search for each item of a reordered list
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

namespace loomgraft::store {

struct Conflict {
  std::string pointer;   // in `theirs`; in the base if the others removed the item
  bool removed = false;  // the others removed a list item that `mine` changes
  nlohmann::json base;   // null where absent
  nlohmann::json theirs;
};

struct Merged {
  nlohmann::json document;
  std::vector<Conflict> conflicts;
};

Merged merge_documents(const nlohmann::json& base, const nlohmann::json& mine, const nlohmann::json& theirs);

}  // namespace loomgraft::store
