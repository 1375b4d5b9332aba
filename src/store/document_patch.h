// RFC 6902 patches between two states of a document.
//
// Model   only test-free operations are made: add, remove, replace. Items of a keyed list (list_keys.h) are
//         followed by key, so taking one wire out of two thousand is one operation; a list whose items
//         changed places is replaced as a whole
// Gives   applying patch_between(a, b) to a gives b
// Fails   apply_patch: patch-does-not-apply for text that is no patch, a place that is not there, a test that
//         does not hold, nesting beyond 64; the document is then as it was
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
