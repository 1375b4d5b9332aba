#include "tables/json_scan.h"

#include <algorithm>

#include "tables/table_internal.h"

namespace loomgraft::tables {

void JsonScanner::skip_blanks(std::size_t& at) const {
  while (at < text_.size()) {
    if (is_blank(text_[at])) {
      ++at;
    } else if (text_.substr(at).starts_with("//")) {
      at = std::min(text_.find_first_of("\r\n", at), text_.size());
    } else if (text_.substr(at).starts_with("/*")) {
      const std::size_t close = text_.find("*/", at + 2);
      at = close == std::string_view::npos ? text_.size() : close + 2;
    } else {
      break;
    }
  }
}

std::size_t JsonScanner::skip_string(std::size_t at) const {
  for (++at; at < text_.size(); ++at) {
    if (text_[at] == '\\')
      ++at;
    else if (text_[at] == '"')
      return at + 1;
    else if (text_[at] == '\n' || text_[at] == '\r')
      return at;
  }
  return text_.size();
}

bool JsonScanner::swallows_bracket(std::size_t open, std::size_t end) const {
  const bool closed = end > open + 1 && text_[end - 1] == '"';
  if (closed) return false;
  std::string_view raw = trim(text_.substr(open, end - open));
  if (raw.ends_with(',')) raw = trim(raw.substr(0, raw.size() - 1));
  return raw.ends_with('}');
}

std::size_t JsonScanner::skip_value(std::size_t at) {
  std::size_t depth = 0;
  const std::size_t begin = at;
  while (at < text_.size()) {
    const char c = text_[at];
    if (c == '"') {
      if (depth == 0 && at > begin) return at;
      const std::size_t open = at;
      at = skip_string(at);
      if (depth == 0) return at;
      // A string that nobody closed has swallowed the bracket behind it.
      if (swallows_bracket(open, at) && --depth == 0) return at;
      continue;
    }
    if (c == '{' || c == '[') ++depth;
    if (c == '}' || c == ']') {
      if (depth == 0) return at;
      if (--depth == 0) return at + 1;
    }
    if (depth == 0 && at > begin && (is_blank(c) || c == ':')) return at;
    if (depth == 0 && (c == ',' || c == '\n' || c == '\r')) return at;
    ++at;
  }
  unclosed_ = unclosed_ || depth > 0;
  return text_.size();
}

}  // namespace loomgraft::tables
