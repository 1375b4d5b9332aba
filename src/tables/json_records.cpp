// JSON arrays of records, arrays of arrays, maps keyed by cavity, and one record a line. The text is scanned
// here for structure and locations, without recursion into values; single values go to the JSON library. So a
// broken record costs one Problem, and the records before and after it are still read.
#include <algorithm>
#include <nlohmann/json.hpp>
#include <utility>

#include "tables/json_scan.h"
#include "tables/record_table.h"

namespace loomgraft::tables {
namespace {

using nlohmann::json;

constexpr int max_descent = 12;      // containers within containers that are looked into for records
constexpr int max_value_depth = 64;  // of one value handed to the library
constexpr std::size_t max_members = 100'000;

struct Member {
  std::size_t key_begin = 0, key_end = 0;      // between the quotes
  std::size_t value_begin = 0, value_end = 0;  // offsets in the document
};

class JsonReader : private JsonScanner {
 public:
  JsonReader(Reader& reader, std::size_t begin, std::size_t end)
      : JsonScanner(reader.document().text.substr(0, end)),
        reader_(reader),
        at_(begin),
        location_(reader.document()) {}

  // Reads one value after another. Gives the offset behind the last one.
  std::size_t read() {
    RecordTable lines(reader_);
    while (!reader_.exhausted()) {
      skip_blanks(at_);
      if (at_ >= text_.size() || (text_[at_] != '{' && text_[at_] != '[')) break;
      const std::size_t begin = at_;
      const std::size_t end = skip_value(begin);
      const bool single_line = text_.substr(begin, end - begin).find('\n') == std::string_view::npos;
      std::size_t behind = end;
      skip_blanks(behind);
      const bool more = !lines.empty() || (behind < text_.size() && text_[behind] == '{');
      if (text_[begin] == '{' && single_line && more && !holds_records(begin))
        read_record(begin, lines, nullptr);
      else
        read_value(begin, 0, "");
      at_ = end;
    }
    if (!lines.empty()) tables_.insert(tables_.begin(), lines.take("", {}));
    return at_;
  }

  std::vector<Table>& tables() { return tables_; }
  using JsonScanner::unclosed;

 private:
  void report(std::size_t at, std::string message) {
    if (quiet_) return;
    location_.move_to(std::min(at, text_.empty() ? 0 : text_.size() - 1));
    reader_.report(Severity::warning, "bad-record", location_.line(), location_.column(), std::move(message),
                   "Correct the JSON here; what stands before and after it was read.");
  }

  // Everything around an unclosed bracket is unclosed too: that is reported once.
  void report_end(const char* message) {
    if (quiet_ || std::exchange(end_reported_, true)) return;
    report(text_.size(), message);
  }

  // The members of the object at `at`, up to its end or to where it breaks.
  std::vector<Member> members_of(std::size_t at) {
    std::vector<Member> members;
    ++at;
    while (members.size() < max_members) {
      skip_blanks(at);
      if (at >= text_.size()) {
        report_end("The record is not closed.");
        break;
      }
      if (text_[at] == '}') break;
      if (text_[at] == ',') {
        ++at;
        continue;
      }
      if (text_[at] != '"') {
        report(at, "A key in quotation marks was expected here.");
        if (!to_next_member(at)) break;
        continue;
      }
      Member member;
      member.key_begin = at + 1;
      at = skip_string(at);
      member.key_end = text_[at - 1] == '"' ? at - 1 : at;
      skip_blanks(at);
      if (at >= text_.size() || text_[at] != ':') {
        report(at, "A colon was expected behind the key.");
        if (!to_next_member(at)) break;
        continue;
      }
      ++at;
      skip_blanks(at);
      if (at >= text_.size()) continue;
      member.value_begin = at;
      at = skip_value(at);
      member.value_end = at;
      members.push_back(member);
      if (text_[member.value_begin] == '"' && swallows_bracket(member.value_begin, member.value_end)) {
        report(member.value_begin, "A quotation mark opens here and no other closes it.");
        break;
      }
      skip_blanks(at);
      if (at < text_.size() && text_[at] != ',' && text_[at] != '}') report(at, "A comma was expected here.");
      if (at == member.value_end && member.value_begin == member.value_end && at < text_.size() &&
          text_[at] == ']')
        break;
    }
    return members;
  }

  bool to_next_member(std::size_t& at) {
    while (at < text_.size() && text_[at] != ',' && text_[at] != '}' && text_[at] != '\n') ++at;
    if (at >= text_.size() || text_[at] == '}') return false;
    ++at;
    return true;
  }

  std::string string_at(std::size_t begin, std::size_t end) {
    const std::string_view raw = text_.substr(begin, end - begin);
    if (raw.find('\\') == std::string_view::npos) return std::string(raw);
    const json value = json::parse("\"" + std::string(raw) + "\"", nullptr, false);
    return value.is_string() ? value.get<std::string>() : std::string(raw);
  }

  static void append_value(std::string& out, const json& value, int depth) {
    if (depth > max_value_depth || out.size() > 4 * max_cell_characters) return;
    if (value.is_string()) {
      out += value.get_ref<const std::string&>();
    } else if (value.is_structured()) {
      bool first = true;
      for (const auto& item : value.items()) {
        if (!first) out += ", ";
        first = false;
        if (value.is_object()) out += item.key() + ": ";
        append_value(out, item.value(), depth + 1);
      }
    } else if (!value.is_null()) {
      out += value.dump();
    }
  }

  static bool too_deep(std::string_view raw) {
    int depth = 0;
    for (const char c : raw) {
      if (c == '[' || c == '{') ++depth;
      if (c == ']' || c == '}') --depth;
      if (depth > max_value_depth) return true;
    }
    return false;
  }

  Cell cell_at(std::size_t begin, std::size_t end) {
    while (end > begin && is_blank(text_[end - 1])) --end;
    location_.move_to(begin);
    Cell cell{"", location_.line(), location_.column(), ""};
    const std::string_view raw = text_.substr(begin, end - begin);
    if (raw.size() >= 2 && raw.front() == '"' && raw.back() == '"') {
      cell.column += 1;
      cell.text = trim(string_at(begin + 1, end - 1));
      return cell;
    }
    if (raw == "null") return cell;
    if (raw.size() > 1 && raw.front() == '"' && swallows_bracket(begin, end)) {
      cell.column += 1;
      cell.text = trim(raw.substr(1, raw.find_last_of('}') - 1));
      return cell;
    }
    const bool structured = !raw.empty() && (raw.front() == '[' || raw.front() == '{');
    cell.text = trim(raw.substr(0, 4 * max_cell_characters));
    if (structured && too_deep(raw)) {
      report(begin, "This value is nested too deep; it was taken as text.");
      return cell;
    }
    const json value = json::parse(raw.begin(), raw.end(), nullptr, false);
    if (value.is_discarded())
      report(begin,
             raw.empty() ? "A value is missing here." : "This is not a JSON value; it was taken as text.");
    else if (structured) {
      cell.text.clear();
      append_value(cell.text, value, 0);
    }
    return cell;  // numbers stay as written
  }

  // Does the object hold a list of records or a map of cavities of its own, and no cavity itself?
  bool holds_records(std::size_t at) {
    const auto members = quiet_members(at);
    bool holds = false;
    for (const Member& member : members) {
      if (is_cavity_key(string_at(member.key_begin, member.key_end)) && !is_container(member.value_begin))
        return false;
      holds = holds || opens_records(member.value_begin);
    }
    return holds;
  }

  bool opens_records(std::size_t at) {
    if (at >= text_.size()) return false;
    if (text_[at] == '[') {
      std::size_t inner = at + 1;
      skip_blanks(inner);
      return inner < text_.size() && (text_[inner] == '{' || text_[inner] == '[');
    }
    return text_[at] == '{' && is_cavity_map(quiet_members(at));
  }

  // Looks without reporting: the same members are read again for good.
  std::vector<Member> quiet_members(std::size_t at) {
    const bool before = std::exchange(quiet_, true);
    auto members = members_of(at);
    quiet_ = before;
    return members;
  }

  bool is_cavity_map(const std::vector<Member>& members) {
    std::size_t cavities = 0;
    for (const Member& member : members)
      cavities +=
          looks_like_cavity(text_.substr(member.key_begin, member.key_end - member.key_begin)) ? 1U : 0U;
    return cavities > 0 && cavities * 3 >= members.size() * 2;
  }

  void read_record(std::size_t at, RecordTable& table, const Field* first) {
    location_.move_to(at);
    const int line = location_.line();
    const int column = location_.column();
    Record record;
    if (first != nullptr) record.push_back(*first);
    for (const Member& member : members_of(at)) {
      location_.move_to(member.key_begin);
      const Cell key{string_at(member.key_begin, member.key_end), location_.line(), location_.column(), ""};
      record.push_back({key, cell_at(member.value_begin, member.value_end)});
    }
    if (!record.empty()) table.add(record, line, column);
  }

  void read_value(std::size_t at, int depth, const std::string& name) {
    if (depth > max_descent || at >= text_.size()) return;
    if (text_[at] == '[') read_array(at, depth, name);
    if (text_[at] == '{') read_object(at, depth, name);
  }

  void read_array(std::size_t at, int depth, const std::string& name) {
    RecordTable table(reader_);
    std::size_t others = 0;
    ++at;
    while (!reader_.exhausted()) {
      skip_blanks(at);
      if (at >= text_.size()) {
        report_end("The list is not closed.");
        break;
      }
      const char c = text_[at];
      if (c == ']') break;
      if (c == ',') {
        ++at;
        continue;
      }
      const std::size_t begin = at;
      at = skip_value(at);
      if (c == '{')
        read_element(begin, depth, name, table);
      else if (c == '[')
        read_row(begin, depth, name, table);
      else if (!table.empty() && others++ < 10)
        report(begin, "This list entry is not a record.");
      if (at == begin) ++at;  // a stray mark
    }
    if (!table.empty()) tables_.push_back(table.take(name, {}));
  }

  void read_element(std::size_t begin, int depth, const std::string& name, RecordTable& table) {
    if (holds_records(begin))
      read_object(begin, depth + 1, name);
    else
      read_record(begin, table, nullptr);
  }

  // A list within a list: a row of cells, or, if records stand in it, looked into.
  void read_row(std::size_t at, int depth, const std::string& name, RecordTable& table) {
    if (opens_records(at)) return read_value(at, depth + 1, name);
    Row row;
    ++at;
    while (row.size() < max_cells_in_row) {
      skip_blanks(at);
      if (at >= text_.size() || text_[at] == ']') break;
      if (text_[at] == ',') {
        ++at;
        continue;
      }
      const std::size_t begin = at;
      at = skip_value(at);
      row.push_back(cell_at(begin, at));
      if (at == begin) ++at;
    }
    table.add_row(std::move(row));
  }

  std::string name_in(const std::vector<Member>& members, const std::string& otherwise) {
    for (const Member& member : members)
      if (is_naming_key(text_.substr(member.key_begin, member.key_end - member.key_begin)) &&
          !is_container(member.value_begin)) {
        const std::string_view raw =
            trim(text_.substr(member.value_begin, member.value_end - member.value_begin));
        return raw.size() >= 2 && raw.front() == '"' ? std::string(raw.substr(1, raw.size() - 2))
                                                     : std::string(raw);
      }
    return otherwise;
  }

  bool values_are_records(const std::vector<Member>& members) {
    return members.size() >= 2 && std::all_of(members.begin(), members.end(), [&](const Member& member) {
             if (member.value_begin >= text_.size() || text_[member.value_begin] != '{') return false;
             const auto inner = quiet_members(member.value_begin);
             return std::any_of(inner.begin(), inner.end(), [&](const Member& field) {
               return is_cavity_key(text_.substr(field.key_begin, field.key_end - field.key_begin)) &&
                      !is_container(field.value_begin);
             });
           });
  }

  void read_object(std::size_t at, int depth, const std::string& name) {
    const auto members = members_of(at);
    const bool descends = std::any_of(members.begin(), members.end(), [&](const Member& member) {
      return opens_records(member.value_begin);
    });
    const bool by_cavity = !descends && is_cavity_map(members);
    if (by_cavity || (!descends && values_are_records(members))) return read_map(members, by_cavity, name);
    const std::string own = name_in(members, name);
    bool any = false;
    for (const Member& member : members) {
      if (reader_.exhausted() || !is_container(member.value_begin)) continue;
      const std::string key = string_at(member.key_begin, member.key_end);
      any = true;
      read_value(member.value_begin, depth + 1, is_generic_key(key) ? own : key);
    }
    if (!any && depth == 0 && !members.empty()) {
      RecordTable table(reader_);
      read_record(at, table, nullptr);
      tables_.push_back(table.take(name, {}));
    }
  }

  // {"A1": "GND", "A2": {"signal": "..."}} or {"GND": {"pin": 1}, ...}.
  void read_map(const std::vector<Member>& members, bool by_cavity, const std::string& name) {
    RecordTable table(reader_);
    for (const Member& member : members) {
      if (reader_.exhausted()) break;
      location_.move_to(member.key_begin);
      const Cell key{string_at(member.key_begin, member.key_end), location_.line(), location_.column(), ""};
      const Field first{Cell{by_cavity ? "pin" : "name", key.line, key.column, ""}, key};
      if (member.value_begin < text_.size() && text_[member.value_begin] == '{') {
        read_record(member.value_begin, table, &first);
        continue;
      }
      const Cell value = cell_at(member.value_begin, member.value_end);
      table.add({first, {Cell{"signal", value.line, value.column, ""}, value}}, key.line, key.column);
    }
    if (!table.empty()) tables_.push_back(table.take(name, {}));
  }

  Reader& reader_;
  std::size_t at_;
  LocationCursor location_;
  std::vector<Table> tables_;
  bool end_reported_ = false;
  bool quiet_ = false;
};

// "{" before a key, or "[" before a record or a list: only then can it be JSON with records.
bool opens_json(std::string_view text, std::size_t at) {
  const auto next = [&](std::size_t from) {
    while (from < text.size() && is_blank(text[from])) ++from;
    return from;
  };
  const std::size_t inner = next(at + 1);
  if (inner >= text.size()) return false;
  if (text[at] == '{') return text[inner] == '"';
  if (text[at] != '[') return false;
  if (text[inner] == '{') return true;
  return text[inner] == '[' && next(inner + 1) < text.size() && text[next(inner + 1)] != ']';
}

bool first_in_document(const Reader& reader, std::size_t line) {
  for (std::size_t at = 0; at < line; ++at)
    if (!reader.blank(at)) return false;
  return true;
}

std::size_t line_behind(const Document& document, std::size_t offset, std::size_t line) {
  while (line < document.lines.size() && document.offset_of(line) < offset) ++line;
  return line;
}

}  // namespace

std::optional<Region> claim_json(Reader& reader, std::size_t line) {
  const std::string_view text = reader.line(line);
  const std::size_t lead = std::min(text.find_first_not_of(" \t"), text.size());
  if (lead == text.size() || (text[lead] != '{' && text[lead] != '[')) return std::nullopt;
  const Document& document = reader.document();
  const std::size_t begin = document.offset_of(line) + lead;
  if (!opens_json(document.text, begin)) return std::nullopt;
  const bool first = first_in_document(reader, std::min<std::size_t>(line, 64));
  if (!first && reader.json_given_up) return std::nullopt;
  std::size_t limit = document.text.size();
  if (!first && line > 0 && trim(reader.line(line - 1)).starts_with("```")) {
    const std::size_t fence = document.text.find("```", begin);
    limit = std::min(fence, limit);
  }
  JsonReader json_reader(reader, begin, limit);
  const std::size_t end = json_reader.read();
  if (json_reader.unclosed() && !first) reader.json_given_up = true;
  if (json_reader.tables().empty()) return std::nullopt;
  Region region;
  region.end = std::max(line_behind(document, end, line), line + 1);
  region.tables = std::move(json_reader.tables());
  for (Table& table : region.tables)
    if (table.header.empty()) take_header_row(table);
  return region;
}

}  // namespace loomgraft::tables
