// Rows fetched from a database that may be damaged anywhere. Only store/ includes this file.
//
// Model   a scan in key order goes on until a page cannot be read; then key by key until one can, and on from
//         there
// Cost    as a scan, and one look-up for each key that may be missing
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>

#include <cstdint>
#include <functional>
#include <map>
#include <set>
#include <string>
#include <vector>

namespace loomgraft::store {

// Cells as SQLite holds them; a text or blob is its bytes. A cell of the wrong type reads as 0 or empty.
struct SalvagedRow {
  std::int64_t key = 0;
  std::vector<std::string> cells;  // behind the key
};

struct SalvageTable {
  const char* name;
  const char* key;
  std::vector<const char*> columns;
};

// Every row that can be read with a key up to `top`, in order.
void salvage(SQLite::Database& database, const SalvageTable& table, std::int64_t top,
             const std::function<void(SalvagedRow)>& take);

// The ids in the table's index, by key: the index is on other pages than the rows.
std::map<std::int64_t, std::string> ids_in_index(SQLite::Database& database, const std::string& table);

// The highest sequence number in any readable part of the file, or 0.
std::int64_t highest_sequence(SQLite::Database& database);

struct RepairCopy {
  bool made = false;
  bool first_page_replaced = false;
  bool strange_log = false;  // what lay beside the file belongs to another one, and was not used
};
// A copy of the file at `copy`.mend with a readable first page.
RepairCopy copy_for_repair(const std::string& path, const std::string& copy);

// "3, 5 to 9, 12"
std::string ranges(const std::set<std::int64_t>& numbers);

}  // namespace loomgraft::store
