// YAML seen as lines: what each begins, how far it is indented, where what it begins ends.
#pragma once

#include "tables/table_internal.h"

namespace loomgraft::tables {

enum class YamlKind : std::uint8_t { blank, comment, marker, item, key, other };

struct YamlLine {
  YamlKind kind = YamlKind::blank;
  std::uint32_t indent = 0;
  std::uint32_t end = 0;  // first later line (index into the list) that is not part of what begins here
  std::uint32_t next_item =
      0;  // next line that begins a list item with a key or a flow map, or the size of the list
};

std::vector<YamlLine> read_yaml_lines(const Reader& reader, std::size_t first, std::size_t last);

// "key: value" from `at` on: the end of the key and the start of the value; nothing where the line has no key
// there.
struct KeyValue {
  std::size_t key_begin = 0, key_end = 0, value = 0;
};
std::optional<KeyValue> find_key(std::string_view line, std::size_t at);

// Where a plain value ends: at " #", which begins a comment, or at the end of the line.
std::size_t plain_value_end(std::string_view line, std::size_t begin);

// Whether the lines from here on are YAML with records in it; `whole` says that the file's name claims so.
bool looks_like_yaml(const Reader& reader, std::size_t first, bool named_so);

std::string unquote_key(std::string_view key);

}  // namespace loomgraft::tables
