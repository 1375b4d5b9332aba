#include "tables/yaml_lines.h"

#include <algorithm>

namespace loomgraft::tables {
namespace {

std::size_t indent_of(std::string_view line) {
  const std::size_t at = line.find_first_not_of(" \t");
  return at == std::string_view::npos ? line.size() : at;
}

bool begins_item(std::string_view rest) {
  return rest == "-" || rest.starts_with("- ") || rest.starts_with("-\t");
}

YamlKind kind_of(std::string_view line, std::size_t indent) {
  const std::string_view rest = line.substr(indent);
  if (trim(rest).empty()) return YamlKind::blank;
  if (rest.front() == '#') return YamlKind::comment;
  if (indent == 0 && (rest.starts_with("---") || rest.starts_with("...") || rest.front() == '%'))
    return YamlKind::marker;
  if (begins_item(rest)) return YamlKind::item;
  return find_key(line, indent) ? YamlKind::key : YamlKind::other;
}

// Where the text of a list item begins; what is indented less cannot be a part of it.
std::size_t content_of(std::string_view line, std::size_t indent) {
  std::size_t at = indent + 1;
  while (at < line.size() && is_blank(line[at])) ++at;
  return at < line.size() ? at : indent + 1;
}

bool item_with_record(std::string_view line, std::size_t indent) {
  const std::size_t at = content_of(line, indent);
  return at < line.size() && (line[at] == '{' || find_key(line, at).has_value());
}

}  // namespace

std::optional<KeyValue> find_key(std::string_view line, std::size_t at) {
  constexpr std::size_t max_key = 200;
  KeyValue found;
  found.key_begin = at;
  const std::size_t reach = std::min(line.size(), at + max_key);
  if (at >= line.size()) return std::nullopt;
  if (line[at] == '"' || line[at] == '\'') {
    const std::size_t close = line.substr(0, reach).find(line[at], at + 1);
    if (close == std::string_view::npos) return std::nullopt;
    at = close + 1;
    while (at < reach && line[at] == ' ') ++at;
    if (at >= line.size() || line[at] != ':') return std::nullopt;
  } else {
    if (std::string_view("[]{},&*!|>%@`#").find(line[at]) != std::string_view::npos) return std::nullopt;
    while (at < reach && !(line[at] == ':' && (at + 1 == line.size() || is_blank(line[at + 1])))) {
      if (line[at] == '#' && is_blank(line[at - 1])) return std::nullopt;
      ++at;
    }
    if (at >= reach || at == found.key_begin) return std::nullopt;
  }
  found.key_end = at;
  found.value = at + 1;
  while (found.value < line.size() && is_blank(line[found.value])) ++found.value;
  return found;
}

std::size_t plain_value_end(std::string_view line, std::size_t begin) {
  for (std::size_t at = begin; at < line.size(); ++at)
    if (line[at] == '#' && (at == begin || is_blank(line[at - 1]))) return at;
  return line.size();
}

std::string unquote_key(std::string_view key) {
  key = trim(key);
  if (key.size() >= 2 && (key.front() == '"' || key.front() == '\'') && key.back() == key.front())
    key = key.substr(1, key.size() - 2);
  return std::string(key);
}

std::vector<YamlLine> read_yaml_lines(const Reader& reader, std::size_t first, std::size_t last) {
  std::vector<YamlLine> lines(last - first);
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const std::string_view line = reader.line(first + i);
    const std::size_t indent = indent_of(line);
    lines[i].kind = kind_of(line, indent);
    lines[i].indent = static_cast<std::uint32_t>(indent);
  }
  // From the back: lines still open stand on a stack, innermost on top.
  std::vector<std::uint32_t> later;
  auto next_item = static_cast<std::uint32_t>(lines.size());
  for (std::size_t back = lines.size(); back > 0; --back) {
    YamlLine& line = lines[back - 1];
    line.next_item = next_item;
    line.end = static_cast<std::uint32_t>(back);
    if (line.kind == YamlKind::blank || line.kind == YamlKind::comment) continue;
    const std::size_t content =
        line.kind == YamlKind::item ? content_of(reader.line(first + back - 1), line.indent) : line.indent;
    // A list may stand at the same depth as the key that holds it. An item that stands a blank further right than
    // the one before is still the next one.
    const auto ends = [&](const YamlLine& after) {
      return after.kind == YamlKind::marker || after.indent < line.indent ||
             (line.kind == YamlKind::item && after.kind == YamlKind::item && after.indent < content) ||
             (after.indent == line.indent && !(line.kind == YamlKind::key && after.kind == YamlKind::item));
    };
    while (!later.empty() && !ends(lines[later.back()])) later.pop_back();
    line.end = later.empty() ? static_cast<std::uint32_t>(lines.size()) : later.back();
    later.push_back(static_cast<std::uint32_t>(back - 1));
    if (line.kind == YamlKind::item && item_with_record(reader.line(first + back - 1), line.indent))
      next_item = static_cast<std::uint32_t>(back - 1);
  }
  return lines;
}

bool looks_like_yaml(const Reader& reader, std::size_t first, bool named_so) {
  constexpr std::size_t sample = 400;
  std::size_t seen = 0, fitting = 0, records = 0, wide_records = 0, nested = 0, flow = 0, headings = 0;
  YamlKind before = YamlKind::blank;
  std::size_t before_indent = 0;
  bool before_opens = false;
  for (std::size_t at = first; at < reader.line_count() && at < first + sample; ++at) {
    const std::string_view line = reader.line(at);
    const std::size_t indent = indent_of(line);
    const YamlKind kind = kind_of(line, indent);
    if (kind == YamlKind::blank) continue;
    headings += kind == YamlKind::comment && line.starts_with("##") ? 1U : 0U;
    if (kind == YamlKind::comment) continue;
    ++seen;
    const bool deeper = indent > before_indent;
    fitting += kind != YamlKind::other || (deeper && before != YamlKind::blank) ? 1U : 0U;
    const auto key = kind == YamlKind::key ? find_key(line, indent) : std::nullopt;
    if (kind == YamlKind::item && item_with_record(line, indent)) {
      ++records;
      flow += trim(line.substr(indent + 1)).starts_with('{') ? 1U : 0U;
    }
    if (kind == YamlKind::key && deeper && before == YamlKind::item) ++wide_records;
    if (kind == YamlKind::key && deeper && before == YamlKind::key && before_opens) ++nested;
    before_opens = key && key->value >= line.size();
    before = kind;
    before_indent = indent;
  }
  if (seen == 0) return false;
  const bool shaped = fitting * 10 >= seen * 9;
  if (named_so) return fitting * 2 >= seen;
  return shaped && headings == 0 && (wide_records > 0 || flow > 0 || nested > 0) && (records + nested) > 0;
}

}  // namespace loomgraft::tables
