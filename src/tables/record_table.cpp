#include "tables/record_table.h"

#include <algorithm>
#include <array>

namespace loomgraft::tables {
namespace {

constexpr std::size_t max_keys = 200;
constexpr std::size_t no_column = static_cast<std::size_t>(-1);

template <class Words>
bool among(const Words& words, std::string_view text) {
  const std::string word = lower_case(trim(text.substr(0, 64)));
  return std::find(words.begin(), words.end(), word) != words.end();
}

}  // namespace

std::size_t RecordTable::column_of(const Cell& key) {
  for (std::size_t i = 0; i < table_.header.size(); ++i)
    if (table_.header[i].text == key.text) return i;
  if (table_.header.size() == max_keys) {
    reader_.report(Severity::warning, "too-many-keys", key.line, key.column,
                   "The records have more different keys than a table has columns; this key was left out.",
                   "Use the same keys in every record.");
    return no_column;
  }
  table_.header.push_back(key);
  return table_.header.size() - 1;
}

void RecordTable::add(const Record& record, int line, int column) {
  Row row;
  row.reserve(record.size());
  for (const Field& field : record) {
    const std::size_t at = column_of(field.key);
    if (at == no_column) continue;
    while (row.size() <= at) row.push_back({"", line, column, ""});
    Cell& cell = row[at];
    if (cell.text.empty())
      cell = field.value;
    else if (!field.value.text.empty())
      cell.text += ", " + field.value.text;  // the same key twice in one record
  }
  if (reader_.spend(row.size() + 1, line)) table_.rows.push_back(std::move(row));
}

void RecordTable::add_row(Row row) {
  if (row.empty() || !reader_.spend(row.size() + 1, row[0].line)) return;
  table_.rows.push_back(std::move(row));
}

Table RecordTable::take(std::string name, std::vector<std::string> lines_before) {
  for (Row& row : table_.rows) {
    if (row.empty()) continue;
    const Cell empty{"", row[0].line, row[0].column, ""};
    const std::size_t missing = table_.header.size() - std::min(table_.header.size(), row.size());
    if (missing > 0 && reader_.spend(missing, empty.line)) row.resize(table_.header.size(), empty);
  }
  table_.name = std::move(name);
  table_.lines_before = std::move(lines_before);
  Table done = std::move(table_);
  table_ = Table{};
  table_.form = TableForm::records;
  return done;
}

bool is_cavity_key(std::string_view key) {
  constexpr std::array keys = {"pin",    "cavity", "terminal", "contact", "pin_number", "pinnumber",
                               "number", "pos",    "position", "pin_no",  "no",         "nr",
                               "pole",   "klemme", "pin_id",   "way"};
  return among(keys, key);
}

bool is_naming_key(std::string_view key) {
  constexpr std::array keys = {"name", "title", "connector", "label",  "plug",        "module",
                               "part", "id",    "ecu",       "header", "designation", "stecker"};
  return among(keys, key);
}

bool is_generic_key(std::string_view key) {
  constexpr std::array keys = {"pins",       "pinout",  "pin_table", "terminals",  "cavities", "contacts",
                               "connectors", "rows",    "records",   "data",       "table",    "items",
                               "list",       "signals", "plugs",     "connections"};
  return among(keys, key);
}

}  // namespace loomgraft::tables
