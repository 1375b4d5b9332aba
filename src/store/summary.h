// A change of the document in words: "wire w12: area 0.5 -> 1 mm²".
//
// Model   one line for each operation of a patch made by patch_between(); list items are called by their key
// Needs   `document` is the state before the patch; it is changed to the state after it
// Gives   lines in the patch's order; texts are cut at 60 bytes
// Fails   an operation that does not fit: false, and `document` is between the states
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

namespace loomgraft::store {

inline constexpr std::size_t longest_summary = 20;  // lines; then "and 7 more changes"

// With `lines` null only the document is changed.
bool advance(nlohmann::json& document, const nlohmann::json& patch, std::vector<std::string>* lines);

// "wire w12: area" for a pointer into the document; its last token need not exist.
std::string pointer_text(const nlohmann::json& document, const std::string& pointer);
// "0.5 -> 1 mm²", "removed", "set to 4200 mm" for a member of that name; null is absence.
std::string change_text(const std::string& pointer, const nlohmann::json& before,
                        const nlohmann::json& after);

}  // namespace loomgraft::store
