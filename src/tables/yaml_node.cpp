#include "tables/yaml_node.h"

#include "tables/table_internal.h"
#include "text/encoding.h"

namespace loomgraft::tables {
namespace {

constexpr int max_depth = 24;

void append_node(std::string& out, const YAML::Node& node, int depth) {
  if (depth > max_depth || out.size() > 4 * max_cell_characters) return;
  if (node.IsScalar()) {
    out += node.Scalar();
  } else if (node.IsSequence()) {
    bool first = true;
    for (const auto& element : node) {
      if (!first) out += ", ";
      first = false;
      append_node(out, element, depth + 1);
    }
  } else if (node.IsMap()) {
    bool first = true;
    for (const auto& entry : node) {
      if (!first) out += ", ";
      first = false;
      append_node(out, entry.first, depth + 1);
      out += ": ";
      append_node(out, entry.second, depth + 1);
    }
  }
}

}  // namespace

std::string yaml_text(const YAML::Node& node) {
  std::string text;
  append_node(text, node, 0);
  // An escape such as "\ud800" names no character.
  if (!valid_utf8(text)) text = repaired_utf8(text);
  return std::string(trim(text));
}

bool has_cavity_keys(const YAML::Node& node) {
  std::size_t cavities = 0;
  for (const auto& entry : node)
    cavities += entry.first.IsScalar() && looks_like_cavity(entry.first.Scalar()) ? 1U : 0U;
  return cavities > 0 && cavities * 3 >= node.size() * 2;
}

bool nests_too_deep(std::string_view text) {
  int depth = 0;
  int dashes = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '[' || text[i] == '{') ++depth;
    if ((text[i] == ']' || text[i] == '}') && depth > 0) --depth;
    const bool mark =
        (text[i] == '-' || text[i] == '?' || text[i] == ':') && i + 1 < text.size() && is_blank(text[i + 1]);
    if (mark) ++dashes;
    if (text[i] == '\n') dashes = 0;
    if (depth > max_depth || dashes > max_depth * 4) return true;
  }
  return false;
}

bool is_plain_start(std::string_view value) {
  return value.empty() || std::string_view("\"'[]{}&*!|>%@`?,").find(value.front()) == std::string_view::npos;
}

}  // namespace loomgraft::tables
