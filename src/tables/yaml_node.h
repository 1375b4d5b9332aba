// What the YAML library reads, as the text of a cell.
#pragma once

#include <yaml-cpp/yaml.h>

#include <string>
#include <string_view>

namespace loomgraft::tables {

// Scalars as written, list values joined by ", ", maps as "key: value"; bounded in depth and length, whatever
// aliases would multiply. Valid UTF-8, trimmed.
std::string yaml_text(const YAML::Node& node);

// Whether most keys of a map look like cavities.
bool has_cavity_keys(const YAML::Node& node);

// Deep nesting is refused before the recursive library sees it.
bool nests_too_deep(std::string_view text);

// A value that begins otherwise than these is the text that it looks like, up to a comment.
bool is_plain_start(std::string_view value);

}  // namespace loomgraft::tables
