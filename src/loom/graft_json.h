// The graft document as JSON (schema/graft.schema.json), both ways.
//
// Model   {"format":"loomgraft","version":1, ...}; members that hold nothing are left out; units are in the
//         names
// Gives   to_json(graft_from_json(text)) has the same meaning; writing is deterministic: members in the
//         schema's order
// Fails   text that is no JSON, or a newer version: one error Problem and no graft. A member of the wrong
//         type, an unknown name or an unknown member: a Problem with its JSON pointer, and the rest is read.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <string_view>

#include "base/problem.h"
#include "loom/graft.h"

namespace loomgraft {

inline constexpr int graft_format_version = 1;

struct GraftReading {
  std::optional<Graft> graft;
  Problems problems;
};

// `file` is the name used in locations; nothing is opened.
GraftReading graft_from_json(std::string_view text, const std::string& file);

// The same from JSON that was parsed already.
GraftReading graft_from_parsed(const nlohmann::json& json, const std::string& file);

nlohmann::ordered_json to_json(const Graft& graft);

// The document as text: two blanks of indent, one line end at the end.
std::string write_graft(const Graft& graft);

}  // namespace loomgraft
