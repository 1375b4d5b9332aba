#include "tables/yaml_library.h"

#include <algorithm>

#include "tables/yaml_node.h"

namespace loomgraft::tables {
namespace {

constexpr std::size_t max_record_bytes = 65'536;
constexpr std::size_t max_library_records = 200'000;

}  // namespace

// Copies lines [at, end) with everything up to `indent` and a list mark blanked out, so that locations stay
// true.
std::string YamlLibrary::record_text(std::size_t at, std::size_t indent, std::size_t end) const {
  std::string copy(text(at));
  if (lines_[at].kind == YamlKind::item && indent < copy.size()) copy[indent] = ' ';
  for (std::size_t i = at + 1; i < end && copy.size() <= max_record_bytes; ++i) {
    copy.push_back('\n');
    copy += text(i);
  }
  return copy;
}

bool YamlLibrary::refuse(int line, int column, const std::string& why) {
  reader_.report(
      Severity::warning, "bad-record", line, column, "This record is not valid YAML: " + why + ".",
      "It was read line by line as far as possible. Put the value in quotes, or correct the line.");
  return false;
}

bool YamlLibrary::read_entry(std::size_t at, std::size_t indent, std::size_t end, const Field& cavity) {
  pending_ = {cavity};
  const bool taken = read(at, indent, end);
  pending_.clear();
  return taken;
}

bool YamlLibrary::read(std::size_t at, std::size_t indent, std::size_t end) {
  const std::string copy = record_text(at, indent, end);
  if (copy.size() > max_record_bytes) return refuse(number(at), 1, "it is too long");
  if (nests_too_deep(copy)) return refuse(number(at), 1, "it is nested too deep");
  if (++records_ > max_library_records) return refuse(number(at), 1, "the file has too many such records");
#ifdef __cpp_exceptions
  try {
    const YAML::Node node = YAML::Load(copy);
    return take_node(node, at);
  } catch (const YAML::Exception& error) {
    const int line = error.mark.is_null() ? 0 : std::min(error.mark.line, static_cast<int>(end - at) - 1);
    const int column = error.mark.is_null() ? 0 : error.mark.column;
    return refuse(number(at) + std::max(line, 0), std::max(column, 0) + 1, error.msg);
  }
#else  // the library reports what it cannot read by exceptions only
  return refuse(number(at), 1, "this platform reads no such records");
#endif
}

Cell YamlLibrary::cell_of(const YAML::Node& node, std::size_t at) const {
  Cell cell;
  const YAML::Mark mark = node.Mark();
  const std::size_t line = std::min(at + static_cast<std::size_t>(std::max(mark.line, 0)), lines_.size() - 1);
  const std::string_view raw = text(line);
  const auto byte = std::min(static_cast<std::size_t>(std::max(mark.column, 0)), raw.size());
  cell.text = yaml_text(node);
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

void YamlLibrary::take_map(const YAML::Node& node, std::size_t at) {
  Record record = pending_;
  for (const auto& entry : node) {
    if (record.size() > 400) break;
    record.push_back({cell_of(entry.first, at), cell_of(entry.second, at)});
    if (entry.second.IsNull()) null_location(record.back(), at);
  }
  if (!record.empty()) table_.add(record, record[0].key.line, record[0].key.column);
}

// The library gives no location for "key:" without a value.
void YamlLibrary::null_location(Field& field, std::size_t at) const {
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

// False where the node holds no record.
bool YamlLibrary::take_node(const YAML::Node& node, std::size_t at) {
  const bool item = lines_[at].kind == YamlKind::item;
  if (!pending_.empty()) {
    if (!node.IsMap() || node.size() == 0) return false;
    take_entry(node.begin()->second, at);
  } else if (node.IsSequence()) {
    take_sequence(node, at);
  } else if (!node.IsMap()) {
    return node.IsNull() || node.IsScalar();
  } else if (!item && node.size() == 1) {
    // "pins: [{...}, {...}]" or "pins: {A1: GND}".
    const YAML::Node value = node.begin()->second;
    if (value.IsSequence()) take_sequence(value, at);
    if (value.IsMap() && has_cavity_keys(value)) take_cavity_map(value, at);
  } else if (!item && has_cavity_keys(node)) {
    take_cavity_map(node, at);
  } else {
    take_map(node, at);
  }
  return true;
}

void YamlLibrary::take_entry(const YAML::Node& value, std::size_t at) {
  if (value.IsMap()) {
    take_map(value, at);
  } else {
    Record record = pending_;
    const Cell cell = cell_of(value, at);
    record.push_back({Cell{"signal", cell.line, cell.column, ""}, cell});
    table_.add(record, cell.line, cell.column);
  }
}

void YamlLibrary::take_cavity_map(const YAML::Node& node, std::size_t at) {
  for (const auto& entry : node) {
    const Cell cavity = cell_of(entry.first, at);
    pending_ = {{Cell{"pin", cavity.line, cavity.column, ""}, cavity}};
    take_entry(entry.second, at);
  }
  pending_.clear();
}

void YamlLibrary::take_sequence(const YAML::Node& node, std::size_t at) {
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
}

void YamlLibrary::take_row(const YAML::Node& node, std::size_t at) {
  Row row;
  for (const auto& element : node)
    if (row.size() < max_cells_in_row) row.push_back(cell_of(element, at));
  table_.add_row(std::move(row));
}

}  // namespace loomgraft::tables
