// YAML lists of records and maps keyed by cavity. The document is cut into records by its lines, so that one
// broken record costs one Problem; only records that are more than "key: value" lines go to the YAML library.
#include <algorithm>
#include <utility>

#include "tables/record_table.h"
#include "tables/yaml_library.h"
#include "tables/yaml_lines.h"
#include "tables/yaml_node.h"

namespace loomgraft::tables {
namespace {

class YamlReader {
 public:
  YamlReader(Reader& reader, std::size_t first, std::size_t last)
      : reader_(reader),
        first_(first),
        lines_(read_yaml_lines(reader, first, last)),
        table_(reader),
        library_(reader, first, lines_, table_) {}

  std::vector<Table> read() {
    std::size_t at = 0;
    while (at < lines_.size() && !reader_.exhausted()) {
      switch (lines_[at].kind) {
        case YamlKind::item:
          at = read_item(at);
          break;
        case YamlKind::key:
          at = read_key(at, lines_[at].indent);
          break;
        case YamlKind::other:
          at = read_other(at);
          break;
        case YamlKind::marker:
          flush();
          path_.clear();
          ++at;
          break;
        default:
          ++at;
      }
    }
    flush();
    if (!tables_.empty()) tables_.back().lines_after = std::move(notes_);
    return std::move(tables_);
  }

 private:
  struct Level {
    std::size_t indent;
    std::string key;
    std::string name;  // from a naming key inside
  };

  std::string_view text(std::size_t at) const { return reader_.line(first_ + at); }
  int number(std::size_t at) const { return static_cast<int>(first_ + at) + 1; }

  std::string table_name() const {
    for (std::size_t i = path_.size(); i > 0; --i) {
      const Level& level = path_[i - 1];
      if (!level.name.empty()) return level.name;
      if (!level.key.empty() && !is_generic_key(level.key)) return level.key;
    }
    return root_name_;
  }

  void flush() {
    if (table_.empty()) return;
    tables_.push_back(table_.take(table_name_, std::exchange(notes_, {})));
  }

  // Begins or goes on with the list at this depth.
  void open_list(std::size_t indent) {
    while (!path_.empty() && path_.back().indent > indent) path_.pop_back();
    const std::string name = table_name();
    // An item indented by a blank more or less than the list is a slip of the hand.
    const bool slip =
        !table_.empty() && name == table_name_ && (indent + 1 == list_indent_ || indent == list_indent_ + 1);
    if (slip) return;
    if (!table_.empty() && (indent != list_indent_ || name != table_name_)) flush();
    list_indent_ = indent;
    table_name_ = name;
  }

  std::size_t read_item(std::size_t at) {
    const YamlLine& line = lines_[at];
    const std::string_view raw = text(at);
    std::size_t content = line.indent + 1;
    while (content < raw.size() && is_blank(raw[content])) ++content;
    const auto key = find_key(raw, content);
    // A list of connectors, each with its own list of pins, is descended into.
    if (key && (line.next_item < line.end || holds_map(at, content)) && !has_cavity_key(at, content))
      return descend(at, content);
    open_list(line.indent);
    if (key && reads_plainly(at, content, false)) return line.end;
    const bool alone = content >= raw.size();
    if (!key && !alone && is_plain_start(raw.substr(content))) return read_scalar_item(at, content);
    if (library_.read(at, line.indent, line.end)) return line.end;
    if (key) reads_plainly(at, content, true);
    return line.end;
  }

  // "- name: X2" with "pins:" over a map of cavities.
  bool holds_map(std::size_t at, std::size_t content) const {
    const std::size_t end = std::min<std::size_t>(lines_[at].end, at + 40);
    for (std::size_t i = at + 1; i < end; ++i) {
      if (lines_[i].kind != YamlKind::key || lines_[i].indent != content) continue;
      const auto key = find_key(text(i), content);
      if (key && is_generic_key(key_text(i)) && key->value >= text(i).size()) return true;
    }
    return false;
  }

  bool has_cavity_key(std::size_t at, std::size_t content) const {
    const auto holds = [&](std::string_view raw, std::size_t begin) {
      const auto key = find_key(raw, begin);
      return key && is_cavity_key(unquote_key(raw.substr(key->key_begin, key->key_end - key->key_begin)));
    };
    if (holds(text(at), content)) return true;
    const std::size_t end = std::min<std::size_t>(lines_[at].end, at + 40);
    for (std::size_t i = at + 1; i < end; ++i) {
      if (lines_[i].kind == YamlKind::item && lines_[i].indent <= content) break;
      if (lines_[i].kind == YamlKind::key && lines_[i].indent == content && holds(text(i), content))
        return true;
    }
    return false;
  }

  std::size_t descend(std::size_t at, std::size_t content) {
    flush();
    while (!path_.empty() && path_.back().indent >= lines_[at].indent) path_.pop_back();
    path_.push_back({lines_[at].indent, "", ""});
    return read_key(at, content);
  }

  // "- GND" among records: a row of one cell, so that it is not lost; in a list of plain values it says
  // nothing.
  std::size_t read_scalar_item(std::size_t at, std::size_t content) {
    if (!table_.empty()) {
      Row row;
      ColumnCursor column(text(at));
      add_cell(row, number(at), text(at), column, content, plain_value_end(text(at), content));
      reader_.report(Severity::warning, "bad-record", row[0].line, row[0].column,
                     "This list entry is not a record of keys and values.", "Write it as \"- pin: ...\".");
      table_.add_row(std::move(row));
    } else {
      notes_.emplace_back(trim(text(at)).substr(0, 500));
    }
    return lines_[at].end;
  }

  std::size_t read_other(std::size_t at) {
    const std::string_view raw = trim(text(at));
    if (raw.front() == '{' || raw.front() == '[') {
      open_list(lines_[at].indent);
      const std::size_t end = flow_end(at);
      library_.read(at, static_cast<std::size_t>(-1), end);
      return end;
    }
    if (!table_.empty())
      reader_.report(Severity::warning, "bad-record", number(at), static_cast<int>(lines_[at].indent) + 1,
                     "This line belongs to no record.", "Check its indentation and its colon.");
    else
      notes_.emplace_back(raw.substr(0, 500));
    return at + 1;
  }

  // Line behind a flow collection that begins here.
  std::size_t flow_end(std::size_t at) {
    int depth = 0;
    // After a few that nobody closed, the others are not looked for far.
    const std::size_t reach = unclosed_flows_ > 20 ? 2 : 2'000;
    for (std::size_t i = at; i < lines_.size() && i < at + reach; ++i) {
      for (const char c : text(i)) {
        if (c == '[' || c == '{') ++depth;
        if (c == ']' || c == '}') --depth;
      }
      if (depth <= 0) return i + 1;
    }
    ++unclosed_flows_;
    return at + 1;
  }

  std::size_t read_key(std::size_t at, std::size_t begin) {
    const std::string_view raw = text(at);
    const auto key = find_key(raw, begin);
    if (!key) return at + 1;
    const bool in_item = lines_[at].kind == YamlKind::item;
    while (!path_.empty() && path_.back().indent >= begin) path_.pop_back();
    if (!in_item) close_list(begin);
    const std::string name = unquote_key(raw.substr(key->key_begin, key->key_end - key->key_begin));
    const std::string_view value = raw.substr(key->value);
    if (!value.empty() && (value.front() == '[' || value.front() == '{'))
      return read_flow_value(at, begin, key->value, name);
    if (value.empty() || value.front() == '#' || value.front() == '&' || value.front() == '!') {
      path_.push_back({begin, name, ""});
      if (const std::size_t end = read_cavity_map(at); end > at) return end;
      return at + 1;
    }
    const std::string_view scalar =
        trim(raw.substr(key->value, plain_value_end(raw, key->value) - key->value));
    if (is_naming_key(name)) {
      const std::string shown = unquote_key(scalar);
      if (path_.empty())
        root_name_ = shown;
      else if (path_.back().name.empty())
        path_.back().name = shown;
    }
    notes_.emplace_back(trim(raw).substr(0, 500));
    if (value.front() == '|' || value.front() == '>') return in_item ? at + 1 : lines_[at].end;
    return at + 1;
  }

  void close_list(std::size_t indent) {
    if (!table_.empty() && indent <= list_indent_) flush();
  }

  // "ground: [A5, A6]": no records; kept as a line beside the tables.
  static bool value_is_plain_list(std::string_view value) {
    return value.starts_with('[') && value.find_first_of("{[", 1) == std::string_view::npos &&
           value.find(']') != std::string_view::npos;
  }

  std::size_t read_flow_value(std::size_t at, std::size_t begin, std::size_t key_value,
                              const std::string& name) {
    const std::size_t end = std::max(flow_end(at), at + 1);
    path_.push_back({begin, name, ""});
    open_list(begin);
    const bool list_of_values = value_is_plain_list(text(at).substr(key_value));
    if (list_of_values) notes_.emplace_back(trim(text(at)).substr(0, 500));
    if (!list_of_values) library_.read(at, begin, end);
    if (!path_.empty()) path_.pop_back();
    return end;
  }

  // "pins:" over "A1: GND" or "A1: {signal: GND}" or "A1:" with a deeper map.
  std::size_t read_cavity_map(std::size_t at) {
    const std::size_t end = lines_[at].end;
    std::size_t first = at + 1;
    while (first < end && lines_[first].kind <= YamlKind::comment) ++first;
    if (first >= end || lines_[first].kind != YamlKind::key) return at;
    const std::size_t indent = lines_[first].indent;
    std::size_t keys = 0, cavities = 0;
    for (std::size_t i = first; i < end; i = std::max<std::size_t>(lines_[i].end, i + 1)) {
      if (lines_[i].kind != YamlKind::key || lines_[i].indent != indent) continue;
      ++keys;
      cavities += looks_like_cavity(key_text(i)) ? 1U : 0U;
    }
    // Connectors may be named like cavities ("X1:"): their own maps or lists are then what is read.
    if (keys == 0 || cavities * 3 < keys * 2 || holds_lists(first)) return at;
    open_list(indent);
    for (std::size_t i = first; i < end && !reader_.exhausted();
         i = std::max<std::size_t>(lines_[i].end, i + 1))
      if (lines_[i].kind == YamlKind::key) read_cavity_entry(i);
    flush();
    return end;
  }

  std::string key_text(std::size_t at) const {
    const auto key = find_key(text(at), lines_[at].indent);
    return key ? unquote_key(text(at).substr(key->key_begin, key->key_end - key->key_begin)) : std::string{};
  }

  // Below the first key: a list of records, or a map whose keys are cavities again or generic ("pins:").
  bool holds_lists(std::size_t at) const {
    std::size_t inner = at + 1;
    const std::size_t end = lines_[at].end;
    if (const auto key = find_key(text(at), lines_[at].indent)) {
      std::string_view value = text(at).substr(key->value);
      if (value.starts_with('[')) return trim(value.substr(1)).starts_with('{');
      if (value.starts_with('{')) {
        value = trim(value.substr(1));
        const auto inner_key = find_key(value, 0);
        return inner_key && looks_like_cavity(value.substr(0, inner_key->key_end));
      }
    }
    while (inner < end && lines_[inner].kind <= YamlKind::comment) ++inner;
    if (inner >= end) return false;
    if (lines_[at].next_item < end) return true;
    const std::string key = key_text(inner);
    return lines_[inner].kind == YamlKind::key &&
           (looks_like_cavity(key) || key == "pins" || key == "cavities");
  }

  void read_cavity_entry(std::size_t at) {
    const std::string_view raw = text(at);
    const auto key = find_key(raw, lines_[at].indent);
    if (!key) return;
    ColumnCursor column(raw);
    const Cell cavity{unquote_key(raw.substr(key->key_begin, key->key_end - key->key_begin)), number(at),
                      column.at(key->key_begin), ""};
    const Field pin{Cell{"pin", number(at), cavity.column, ""}, cavity};
    const std::string_view value = raw.substr(key->value);
    const bool single = lines_[at].end == at + 1 || all_blank(at + 1, lines_[at].end);
    const bool plain = single && is_plain_start(value);
    if (plain || !library_.read_entry(at, lines_[at].indent, lines_[at].end, pin)) {
      const Field signal{Cell{"signal", number(at), column.at(key->value), ""}, plain_cell(at, key->value)};
      table_.add({pin, signal}, number(at), cavity.column);
    }
  }

  bool all_blank(std::size_t first, std::size_t last) const {
    for (std::size_t i = first; i < last; ++i)
      if (lines_[i].kind > YamlKind::comment) return false;
    return true;
  }

  Cell plain_cell(std::size_t at, std::size_t begin) const {
    const std::string_view raw = text(at);
    ColumnCursor column(raw);
    const std::size_t end = plain_value_end(raw, begin);
    Cell cell{std::string(trim(raw.substr(begin, end - begin))), number(at), column.at(begin), ""};
    if (cell.text == "~" || cell.text == "null") cell.text.clear();
    cell.cut_off = trim(raw.substr(end));
    return cell;
  }

  // A record of nothing but "key: plain value" lines. `forced`: the library refused it; take what can be
  // taken.
  bool reads_plainly(std::size_t at, std::size_t content, bool forced) {
    Record record;
    for (std::size_t i = at; i < lines_[at].end; ++i) {
      const YamlLine& line = lines_[i];
      if (line.kind == YamlKind::blank || line.kind == YamlKind::comment) continue;
      const bool own = i == at || (line.kind == YamlKind::key && line.indent == content);
      const auto key = own ? find_key(text(i), content) : std::nullopt;
      if (!key && !forced) return false;
      if (!key) {
        if (!record.empty()) record.back().value.text += " " + std::string(trim(text(i)));
        continue;
      }
      const std::string_view raw = text(i);
      const std::string_view value = raw.substr(key->value);
      if (!forced && (!is_plain_start(value) || needs_library(raw, key->value))) return false;
      ColumnCursor column(raw);
      const int key_column = column.at(key->key_begin);
      record.push_back({Cell{unquote_key(raw.substr(key->key_begin, key->key_end - key->key_begin)),
                             number(i), key_column, ""},
                        plain_cell(i, key->value)});
    }
    table_.add(record, number(at), static_cast<int>(content) + 1);
    return true;
  }

  // ": " inside a plain value is an error in YAML, and "- " or "? " in front is a collection.
  static bool needs_library(std::string_view raw, std::size_t begin) {
    const std::string_view value = raw.substr(begin, plain_value_end(raw, begin) - begin);
    return value.find(": ") != std::string_view::npos || trim(value).ends_with(':') ||
           value.starts_with("- ") || raw.find('\t') != std::string_view::npos;
  }

  Reader& reader_;
  std::size_t first_;
  std::vector<YamlLine> lines_;
  std::vector<Level> path_;
  std::string root_name_;
  std::string table_name_;
  std::size_t list_indent_ = 0;
  std::vector<std::string> notes_;
  RecordTable table_;
  YamlLibrary library_;
  std::vector<Table> tables_;
  std::size_t unclosed_flows_ = 0;
};

bool named_yaml(const std::string& file) {
  const std::string name = lower_case(file);
  return name.ends_with(".yaml") || name.ends_with(".yml");
}

// The end of a fenced block that begins at `line`, or nothing.
std::optional<std::size_t> fence_end(const Reader& reader, std::size_t line) {
  const std::string_view open = trim(reader.line(line));
  if (!open.starts_with("```yaml") && !open.starts_with("```yml") && !open.starts_with("~~~yaml"))
    return std::nullopt;
  std::size_t end = line + 1;
  while (end < reader.line_count() && !trim(reader.line(end)).starts_with(open.substr(0, 3))) ++end;
  return end;
}

}  // namespace

std::optional<Region> claim_yaml(Reader& reader, std::size_t line) {
  std::size_t first = line;
  std::size_t last = reader.line_count();
  std::size_t end = last;
  if (const auto fence = fence_end(reader, line)) {
    first = line + 1;
    last = *fence;
    end = std::min(last + 1, reader.line_count());
  } else {
    for (std::size_t at = 0; at < line && at < 64; ++at)
      if (!reader.blank(at)) return std::nullopt;  // only a whole document
    if (line >= 64) return std::nullopt;
    const bool named = named_yaml(reader.document().file);
    if (!looks_like_yaml(reader, line, named)) return std::nullopt;
  }
  Region region;
  region.end = end;
  if (first < last) region.tables = YamlReader(reader, first, last).read();
  if (region.tables.empty() && first == line) return std::nullopt;
  for (Table& table : region.tables)
    if (table.header.empty()) take_header_row(table);
  return region;
}

}  // namespace loomgraft::tables
