// A scan in key order stops at the first unreadable page; single look-ups find the next readable key, and the scan
// continues from there. The first page of an empty graft file fits every file, because tables are created in one order.
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "store/database_internal.h"
#include "store/file_log_internal.h"
#include "store/salvage_internal.h"
#include "store/schema_internal.h"

namespace loomgraft::store {
namespace {

std::string select_from(const SalvageTable& table) {
  std::string sql = std::string("SELECT ") + table.key;
  for (const char* column : table.columns) sql += std::string(", ") + column;
  return sql + " FROM " + table.name + " WHERE " + table.key;
}

SalvagedRow row_of(SQLite::Statement& select) {
  SalvagedRow row;
  row.key = select.getColumn(0).getInt64();
  for (int i = 1; i < select.getColumnCount(); ++i) row.cells.push_back(select.getColumn(i).getString());
  return row;
}

// On to the first key that cannot be read; the last one that could is left in `reached`. True at the end.
bool scan(SQLite::Statement& select, std::int64_t& reached, const std::function<void(SalvagedRow)>& take) {
  try {
    select.reset();
    select.bind(1, reached);
    while (select.executeStep()) {
      SalvagedRow row = row_of(select);
      reached = row.key;
      take(std::move(row));
    }
    return true;
  } catch (const SQLite::Exception&) {
    select.tryReset();
    return false;
  }
}

bool look_up(SQLite::Statement& select, std::int64_t key, const std::function<void(SalvagedRow)>& take) {
  try {
    select.reset();
    select.bind(1, key);
    if (!select.executeStep()) return false;
    take(row_of(select));
    return true;
  } catch (const SQLite::Exception&) {
    select.tryReset();
    return false;
  }
}

std::int64_t number_or_zero(SQLite::Database& database, const char* sql) {
  try {
    return database.execAndGet(sql).getInt64();
  } catch (const SQLite::Exception&) {
    return 0;
  }
}

bool readable(const std::string& path) {
  try {
    SQLite::Database database(path, SQLite::OPEN_READWRITE);
    return database.execAndGet("PRAGMA application_id").getInt() == application_id &&
           database.execAndGet("SELECT count(*) FROM sqlite_schema").getInt() > 0 &&
           database.execAndGet("SELECT count(*) FROM counter WHERE 0").getInt() == 0;
  } catch (const SQLite::Exception&) {
    return false;
  }
}

// Of the copy, so nothing needs to be kept.
bool drop_strange_log(const std::string& copy) {
  try {
    const Beside beside = clear_beside(copy);
    for (const std::string& name : beside.moved) unlink(name.c_str());
    return beside.strange;
  } catch (const SQLite::Exception&) {  // then it is not known whose it is
    return false;
  }
}

// Every graft file of one version has its tables at the same pages, so the first page of an empty one fits.
bool replace_first_page(const std::string& copy, bool waits) {
  auto empty = create_database(copy, {});
  if (!empty) return false;
  empty->reset();
  std::ifstream from(unfinished_name(copy), std::ios::binary);
  std::string page(page_bytes, '\0');
  const bool whole = static_cast<bool>(from.read(page.data(), page_bytes));
  from.close();
  drop_unfinished(copy);
  if (!whole) return false;
  std::error_code failed;
  const auto pages = std::filesystem::file_size(copy + ".mend", failed) / page_bytes;
  // Bytes 28 to 31: the number of pages; they count only where 92 to 95 repeat the counter at 24 to 27
  // (sqlite.org/fileformat2.html, 1.3).
  for (std::size_t i = 0; i < 4; ++i) page[28 + i] = static_cast<char>(pages >> (24 - 8 * i) & 0xffU);
  std::copy_n(page.begin() + 24, 4, page.begin() + 92);
  if (waits) page[18] = page[19] = 2;  // there is a write-ahead log
  std::fstream to(copy + ".mend", std::ios::binary | std::ios::in | std::ios::out);
  return static_cast<bool>(to.write(page.data(), page_bytes).flush());
}

}  // namespace

void salvage(SQLite::Database& database, const SalvageTable& table, std::int64_t top,
             const std::function<void(SalvagedRow)>& take) {
  try {
    SQLite::Statement onwards(database, select_from(table) + " > ? ORDER BY " + table.key);
    SQLite::Statement single(database, select_from(table) + " = ?");
    std::int64_t reached = 0;
    while (!scan(onwards, reached, take)) {
      bool found = false;
      while (!found && reached < top) found = look_up(single, ++reached, take);
      if (!found) return;
    }
  } catch (const SQLite::Exception&) {
    return;  // the table itself cannot be found: all its rows are missing
  }
}

std::map<std::int64_t, std::string> ids_in_index(SQLite::Database& database, const std::string& table) {
  std::map<std::int64_t, std::string> ids;
  try {
    SQLite::Statement select(database, "SELECT id, seq FROM " + table + " WHERE id > '' ORDER BY id");
    while (select.executeStep()) ids[select.getColumn(1).getInt64()] = select.getColumn(0).getString();
  } catch (const SQLite::Exception&) {
    return ids;
  }
  return ids;
}

std::int64_t highest_sequence(SQLite::Database& database) {
  std::int64_t highest = 0;
  for (const char* sql :
       {"SELECT seq FROM counter", "SELECT max(seq) FROM revisions", "SELECT max(seq) FROM readings",
        "SELECT max(seq) FROM ticks", "SELECT max(seq) FROM attachments"}) {
    highest = std::max(highest, number_or_zero(database, sql));
  }
  // A damaged number may say anything; the file's size bounds how many entries there can be: a row takes more
  // than 8 bytes.
  const std::int64_t pages = number_or_zero(database, "PRAGMA page_count");
  return std::min(highest, std::max<std::int64_t>(pages, 1) * page_bytes / 8);
}

RepairCopy copy_for_repair(const std::string& path, const std::string& copy) {
  namespace fs = std::filesystem;
  std::error_code failed;
  RepairCopy made;
  fs::copy_file(path, copy + ".mend", fs::copy_options::overwrite_existing, failed);
  if (failed) return made;
  for (const char* part : {"-wal", "-journal"}) {
    if (!fs::exists(path + part, failed)) continue;
    fs::copy_file(path + part, copy + ".mend" + part, fs::copy_options::overwrite_existing, failed);
    if (failed) return made;
  }
  made.strange_log = drop_strange_log(copy + ".mend");
  made.first_page_replaced = !readable(copy + ".mend");
  made.made = true;
  if (!made.first_page_replaced) return made;
  // The failed look may have taken away what waits beside the copy.
  fs::remove(copy + ".mend-shm", failed);
  const bool waits = !made.strange_log && fs::copy_file(path + "-wal", copy + ".mend-wal",
                                                        fs::copy_options::overwrite_existing, failed);
  made.made = replace_first_page(copy, waits) && readable(copy + ".mend");
  return made;
}

std::string ranges(const std::set<std::int64_t>& numbers) {
  std::string out;
  for (auto at = numbers.begin(); at != numbers.end();) {
    auto last = at;
    for (auto next = std::next(at); next != numbers.end() && *next == *last + 1; ++next) last = next;
    out += (out.empty() ? "" : ", ") + std::to_string(*at);
    if (last != at) out += (*last == *at + 1 ? ", " : " to ") + std::to_string(*last);
    at = std::next(last);
  }
  return out;
}

}  // namespace loomgraft::store
