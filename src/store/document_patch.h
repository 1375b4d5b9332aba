// RFC 6902 patches between two states of a document.
//
// Model   only test-free operations are made: add, remove, replace. Items of a keyed list (list_keys.h) are
//         matched by key, so removing one wire of two thousand is one operation; a list whose items were
//         reordered is replaced as a whole
// Gives   applying patch_between(a, b) to a gives b
// Fails   apply_patch: patch-does-not-apply for text that is no patch, a pointer to nothing, a test that fails,
//         nesting beyond 64; too-large for more than 50,000 operations and where the document would pass 24 MiB
//         of memory, at each step. The document is then unchanged
// Cost    linear in the two documents
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <string_view>
#include <tl/expected.hpp>

#include "base/problem.h"

namespace loomgraft::store {

nlohmann::json patch_between(const nlohmann::json& from, const nlohmann::json& to);

tl::expected<nlohmann::json, Problem> read_patch(std::string_view text);
tl::expected<nlohmann::json, Problem> apply_patch(const nlohmann::json& document,
                                                  const nlohmann::json& patch);

// `name` as one token of a JSON pointer, with its slash.
std::string pointer_token(std::string_view name);

}  // namespace loomgraft::store
