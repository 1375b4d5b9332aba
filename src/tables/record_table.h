// A table that grows record by record: the keys of all records become the header, in the order of their first
// use.
#pragma once

#include "tables/table_internal.h"

namespace loomgraft::tables {

struct Field {
  Cell key;
  Cell value;
};
using Record = std::vector<Field>;

class RecordTable {
 public:
  explicit RecordTable(Reader& reader) : reader_(reader) { table_.form = TableForm::records; }

  void add(const Record& record, int line, int column);
  void add_row(Row row);  // a record without keys
  bool empty() const { return table_.rows.empty(); }
  // Fills up short rows; gives the table and begins a new one.
  Table take(std::string name, std::vector<std::string> lines_before);

 private:
  std::size_t column_of(const Cell& key);

  Reader& reader_;
  Table table_;
};

// Keys that hold a cavity, keys that name what holds the records, keys that name no particular table
// ("pins").
bool is_cavity_key(std::string_view key);
bool is_naming_key(std::string_view key);
bool is_generic_key(std::string_view key);

}  // namespace loomgraft::tables
