// YAML lists of records and maps keyed by cavity. The document is cut into records by its lines, so that one broken
// record costs one Problem; only records that are more than "key: value" lines go to the YAML library.
#include <yaml-cpp/yaml.h>

#include <algorithm>

#include "text/record_table.h"
#include "text/yaml_lines.h"

namespace loomgraft::table_forms {
namespace {

constexpr std::size_t max_record_bytes = 65'536;
constexpr std::size_t max_library_records = 200'000;
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

// Deep nesting is refused before the recursive library sees it.
bool nests_too_deep(std::string_view text) {
  int depth = 0;
  int dashes = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '[' || text[i] == '{') ++depth;
    if ((text[i] == ']' || text[i] == '}') && depth > 0) --depth;
    const bool mark = (text[i] == '-' || text[i] == '?' || text[i] == ':') && i + 1 < text.size() && is_blank(text[i + 1]);
    if (mark) ++dashes;
    if (text[i] == '\n') dashes = 0;
    if (depth > max_depth || dashes > max_depth * 4) return true;
  }
  return false;
}

// The first value begins with one of these: then a YAML scalar is more than it looks.
bool is_plain_start(std::string_view value) {
  return value.empty() || std::string_view("\"'[]{}&*!|>%@`?,").find(value.front()) == std::string_view::npos;
}

class YamlReader {
 public:
  YamlReader(Reader& reader, std::size_t first, std::size_t last)
      : reader_(reader), first_(first), lines_(read_yaml_lines(reader, first, last)), table_(reader) {}

  std::vector<Table> read() {
    std::size_t at = 0;
    while (at < lines_.size() && !reader_.exhausted()) {
      switch (lines_[at].kind) {
        case YamlKind::item: at = read_item(at); break;
        case YamlKind::key: at = read_key(at, lines_[at].indent); break;
        case YamlKind::other: at = read_other(at); break;
        case YamlKind::marker:
          flush();
          path_.clear();
          ++at;
          break;
        default: ++at;
      }
    }
    flush();
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
    for (auto level = path_.rbegin(); level != path_.rend(); ++level) {
      if (!level->name.empty()) return level->name;
      if (!level->key.empty() && !is_generic_key(level->key)) return level->key;
    }
    return root_name_;
  }

  void flush() {
    if (!table_.empty()) tables_.push_back(table_.take(table_name_, std::move(notes_)));
    if (!tables_.empty()) notes_.clear();
  }

  // Begins or goes on with the list at this depth.
  void open_list(std::size_t indent) {
    while (!path_.empty() && path_.back().indent > indent) path_.pop_back();
    const std::string name = table_name();
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
    if (key && line.next_item < line.end && !has_cavity_key(at, content)) return descend(at, content);
    open_list(line.indent);
    if (key && reads_plainly(at, content, false)) return line.end;
    const bool alone = content >= raw.size();
    if (!key && !alone && is_plain_start(raw.substr(content))) return read_scalar_item(at, content);
    if (read_with_library(at, line.indent, line.end)) return line.end;
    if (key) reads_plainly(at, content, true);
    return line.end;
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
      if (lines_[i].kind == YamlKind::key && lines_[i].indent == content && holds(text(i), content)) return true;
    }
    return false;
  }

  std::size_t descend(std::size_t at, std::size_t content) {
    flush();
    while (!path_.empty() && path_.back().indent >= lines_[at].indent) path_.pop_back();
    path_.push_back({lines_[at].indent, "", ""});
    return read_key(at, content);
  }

  // "- GND" among records: a row of one cell, so that it is not lost; in a list of plain values it says nothing.
  std::size_t read_scalar_item(std::size_t at, std::size_t content) {
    if (!table_.empty()) {
      Row row;
      ColumnCursor column(text(at));
      add_cell(row, number(at), text(at), column, content, plain_value_end(text(at), content));
      reader_.report(Severity::warning, "bad-record", row[0].line, row[0].column,
                     "This list entry is not a record of keys and values.", "Write it as \"- pin: ...\".");
      table_.add_row(std::move(row));
    }
    return lines_[at].end;
  }

  std::size_t read_other(std::size_t at) {
    const std::string_view raw = trim(text(at));
    if (raw.front() == '{' || raw.front() == '[') {
      open_list(lines_[at].indent);
      const std::size_t end = flow_end(at);
      read_with_library(at, static_cast<std::size_t>(-1), end);
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
  std::size_t flow_end(std::size_t at) const {
    int depth = 0;
    for (std::size_t i = at; i < lines_.size() && i < at + 5'000; ++i) {
      for (const char c : text(i)) {
        if (c == '[' || c == '{') ++depth;
        if (c == ']' || c == '}') --depth;
      }
      if (depth <= 0) return i + 1;
    }
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
    if (!value.empty() && (value.front() == '[' || value.front() == '{')) return read_flow_value(at, begin, name);
    if (value.empty() || value.front() == '#' || value.front() == '&' || value.front() == '!') {
      path_.push_back({begin, name, ""});
      if (const std::size_t end = read_cavity_map(at); end > at) return end;
      return at + 1;
    }
    const std::string_view scalar = trim(raw.substr(key->value, plain_value_end(raw, key->value) - key->value));
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

  std::size_t read_flow_value(std::size_t at, std::size_t begin, const std::string& name) {
    const std::size_t end = std::max(flow_end(at), at + 1);
    path_.push_back({begin, name, ""});
    open_list(begin);
    read_with_library(at, begin, end);
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
    for (std::size_t i = first; i < end && !reader_.exhausted(); i = std::max<std::size_t>(lines_[i].end, i + 1))
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
    while (inner < end && lines_[inner].kind <= YamlKind::comment) ++inner;
    if (inner >= end) return false;
    if (lines_[at].next_item < end) return true;
    const std::string key = key_text(inner);
    return lines_[inner].kind == YamlKind::key && (looks_like_cavity(key) || key == "pins" || key == "cavities");
  }

  void read_cavity_entry(std::size_t at) {
    const std::string_view raw = text(at);
    const auto key = find_key(raw, lines_[at].indent);
    if (!key) return;
    ColumnCursor column(raw);
    const Cell cavity{unquote_key(raw.substr(key->key_begin, key->key_end - key->key_begin)), number(at),
                      column.at(key->key_begin), ""};
    pending_ = {{Cell{"pin", number(at), cavity.column, ""}, cavity}};
    const std::string_view value = raw.substr(key->value);
    const bool single = lines_[at].end == at + 1 || all_blank(at + 1, lines_[at].end);
    if (single && is_plain_start(value)) {
      pending_.push_back({Cell{"signal", number(at), column.at(key->value), ""}, plain_cell(at, key->value)});
      table_.add(pending_, number(at), cavity.column);
    } else if (!read_with_library(at, lines_[at].indent, lines_[at].end, true)) {
      pending_.push_back({Cell{"signal", number(at), column.at(key->value), ""}, plain_cell(at, key->value)});
      table_.add(pending_, number(at), cavity.column);
    }
    pending_.clear();
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

  // A record of nothing but "key: plain value" lines. `forced`: the library refused it; take what can be taken.
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
      record.push_back({Cell{unquote_key(raw.substr(key->key_begin, key->key_end - key->key_begin)), number(i),
                             key_column, ""},
                        plain_cell(i, key->value)});
    }
    table_.add(record, number(at), static_cast<int>(content) + 1);
    return true;
  }

  // ": " inside a plain value is an error in YAML, and "- " or "? " in front is a collection.
  static bool needs_library(std::string_view raw, std::size_t begin) {
    const std::string_view value = raw.substr(begin, plain_value_end(raw, begin) - begin);
    return value.find(": ") != std::string_view::npos || trim(value).ends_with(':') || value.starts_with("- ") ||
           raw.find('\t') != std::string_view::npos;
  }

  // Copies lines [at, end) with everything up to `indent` and a list mark blanked out, so that places stay true.
  std::string record_text(std::size_t at, std::size_t indent, std::size_t end) const {
    std::string copy(text(at));
    if (lines_[at].kind == YamlKind::item && indent < copy.size()) copy[indent] = ' ';
    for (std::size_t i = at + 1; i < end && copy.size() <= max_record_bytes; ++i) {
      copy.push_back('\n');
      copy += text(i);
    }
    return copy;
  }

  bool read_with_library(std::size_t at, std::size_t indent, std::size_t end, bool keyed = false) {
    const std::string copy = record_text(at, indent, end);
    const auto refuse = [&](int line, int column, const std::string& why) {
      reader_.report(Severity::warning, "bad-record", line, column, "This record is not valid YAML: " + why + ".",
                     "It was read line by line as far as possible. Put the value in quotes, or correct the line.");
      return false;
    };
    if (copy.size() > max_record_bytes) return refuse(number(at), 1, "it is too long");
    if (nests_too_deep(copy)) return refuse(number(at), 1, "it is nested too deep");
    if (++library_records_ > max_library_records) return refuse(number(at), 1, "the file has too many such records");
    try {
      const YAML::Node node = YAML::Load(copy);
      return take_node(node, at, keyed);
    } catch (const YAML::Exception& error) {
      const int line = error.mark.is_null() ? 0 : std::min(error.mark.line, static_cast<int>(end - at) - 1);
      const int column = error.mark.is_null() ? 0 : error.mark.column;
      return refuse(number(at) + std::max(line, 0), std::max(column, 0) + 1, error.msg);
    }
  }

  Cell cell_of(const YAML::Node& node, std::size_t at) const {
    Cell cell;
    const YAML::Mark mark = node.Mark();
    const std::size_t line = std::min(at + static_cast<std::size_t>(std::max(mark.line, 0)), lines_.size() - 1);
    const std::string_view raw = text(line);
    const auto byte = std::min(static_cast<std::size_t>(std::max(mark.column, 0)), raw.size());
    append_node(cell.text, node, 0);
    cell.text = trim(cell.text);
    cell.line = number(line);
    cell.column = ColumnCursor(raw).at(byte);
    if (node.IsScalar() && !cell.text.empty() && raw.substr(byte).starts_with(cell.text)) {
      const std::string_view rest = trim(raw.substr(byte + cell.text.size()));
      if (rest.starts_with('#')) cell.cut_off = rest;
    }
    if (node.IsNull()) {
      const std::size_t hash = plain_value_end(raw, byte);
      cell.cut_off = trim(raw.substr(hash));
    }
    return cell;
  }

  void take_map(const YAML::Node& node, std::size_t at) {
    Record record = pending_;
    for (const auto& entry : node) {
      if (record.size() > 400) break;
      record.push_back({cell_of(entry.first, at), cell_of(entry.second, at)});
      if (entry.second.IsNull()) null_place(record.back(), at);
    }
    if (!record.empty()) table_.add(record, record[0].key.line, record[0].key.column);
  }

  // The library gives no place for "key:" without a value.
  void null_place(Field& field, std::size_t at) const {
    const auto line = static_cast<std::size_t>(field.key.line) - 1 - first_;
    if (line < at || line >= lines_.size()) return;
    const std::string_view raw = text(line);
    const std::size_t colon = raw.find(field.key.text + ":");
    if (colon == std::string_view::npos) return;
    std::size_t value = colon + field.key.text.size() + 1;
    while (value < raw.size() && is_blank(raw[value])) ++value;
    const std::size_t end = plain_value_end(raw, value);
    field.value.line = field.key.line;
    field.value.column = ColumnCursor(raw).at(value);
    field.value.cut_off = trim(raw.substr(end));
  }

  static bool has_cavity_keys(const YAML::Node& node) {
    std::size_t cavities = 0;
    for (const auto& entry : node)
      cavities += entry.first.IsScalar() && looks_like_cavity(entry.first.Scalar()) ? 1U : 0U;
    return cavities > 0 && cavities * 3 >= node.size() * 2;
  }

  bool take_node(const YAML::Node& node, std::size_t at, bool keyed) {
    if (keyed) return take_entry(node.begin()->second, at);
    if (node.IsSequence()) return take_sequence(node, at);
    if (!node.IsMap()) return node.IsNull() || node.IsScalar();
    const bool item = lines_[at].kind == YamlKind::item;
    if (!item && node.size() == 1) {
      // "pins: [{...}, {...}]" or "pins: {A1: GND}".
      const YAML::Node value = node.begin()->second;
      if (value.IsSequence()) return take_sequence(value, at);
      if (value.IsMap() && has_cavity_keys(value)) return take_cavity_map(value, at);
      return true;
    }
    if (!item && has_cavity_keys(node)) return take_cavity_map(node, at);
    take_map(node, at);
    return true;
  }

  bool take_entry(const YAML::Node& value, std::size_t at) {
    if (value.IsMap()) {
      take_map(value, at);
    } else {
      Record record = pending_;
      const Cell cell = cell_of(value, at);
      record.push_back({Cell{"signal", cell.line, cell.column, ""}, cell});
      table_.add(record, cell.line, cell.column);
    }
    return true;
  }

  bool take_cavity_map(const YAML::Node& node, std::size_t at) {
    for (const auto& entry : node) {
      const Cell cavity = cell_of(entry.first, at);
      pending_ = {{Cell{"pin", cavity.line, cavity.column, ""}, cavity}};
      take_entry(entry.second, at);
    }
    pending_.clear();
    return true;
  }

  bool take_sequence(const YAML::Node& node, std::size_t at) {
    const bool row_of_cells = lines_[at].kind == YamlKind::item;
    Row row;
    for (const auto& element : node) {
      if (element.IsMap())
        take_map(element, at);
      else if (row_of_cells && row.size() < max_cells_in_row)
        row.push_back(cell_of(element, at));
      else if (element.IsSequence())
        take_row(element, at);
    }
    if (!row.empty()) table_.add_row(std::move(row));
    return true;
  }

  void take_row(const YAML::Node& node, std::size_t at) {
    Row row;
    for (const auto& element : node)
      if (row.size() < max_cells_in_row) row.push_back(cell_of(element, at));
    table_.add_row(std::move(row));
  }

  Reader& reader_;
  std::size_t first_;
  std::vector<YamlLine> lines_;
  std::vector<Level> path_;
  std::string root_name_;
  std::string table_name_;
  std::size_t list_indent_ = 0;
  std::vector<std::string> notes_;
  Record pending_;  // the cavity whose map is being read
  RecordTable table_;
  std::vector<Table> tables_;
  std::size_t library_records_ = 0;
};

bool named_yaml(const std::string& file) {
  const std::string name = lower_case(file);
  return name.ends_with(".yaml") || name.ends_with(".yml");
}

// The end of a fenced block that begins at `line`, or nothing.
std::optional<std::size_t> fence_end(const Reader& reader, std::size_t line) {
  const std::string_view open = trim(reader.line(line));
  if (!open.starts_with("```yaml") && !open.starts_with("```yml") && !open.starts_with("~~~yaml")) return std::nullopt;
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

}  // namespace loomgraft::table_forms
