// The SQLite side of a graft file: opening, its schema, and what SQLite's errors are called. Only store/
// includes this file.
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>
#include <SQLiteCpp/VariadicBind.h>

#include <memory>
#include <string>

#include "store/graft_file.h"

namespace loomgraft::store {

inline constexpr int schema_version = 2;
inline constexpr int first_hashed_version = 2;

Problem store_problem(const std::string& path, ProblemCode code, std::string message, std::string remedy);
tl::unexpected<Problems> refuse(Problem problem);
Problem problem_of(const SQLite::Exception& error, const std::string& path);
Problem in_file(Problem problem, const std::string& path);
Problem no_such_revision(const std::string& path, std::int64_t number);
Problem damaged(const std::string& path, const std::string& what);

struct OpenedDatabase {
  std::unique_ptr<SQLite::Database> database;
  Problems remarks;       // what a person should know though the file can be used
  bool with_log = false;  // written through a write-ahead log
  bool hashed = false;    // it has hashes and marks
  bool as_it_is = false;  // read as a file that nobody changes, where nothing can be written
};
// An open connection to a file that is a graft file of a version we know. What lies beside it and is not its own is
// moved aside before.
Stored<OpenedDatabase> open_database(const std::string& path, const OpenOptions& options);

// A connection to an empty graft file at `path`, where nothing may stand yet. It gets its name when complete:
// see finish_file().
Stored<std::unique_ptr<SQLite::Database>> create_database(const std::string& path,
                                                          const OpenOptions& options);

// The name that a file is made under, before it is given its own.
std::string unfinished_name(const std::string& path);
// Gives the closed file its own name, which nobody may have taken meanwhile.
Stored<bool> finish_file(const std::string& path);
void drop_unfinished(const std::string& path);
void sync_folder_of(const std::string& path);

// False in a file of an earlier version, which has no columns for hashes and marks.
bool has_hashes(SQLite::Database& database);
std::int64_t last_number(SQLite::Database& database);
// Writes the log back into the file. True if it is empty afterwards; waits for readers no longer than `wait_ms`.
bool write_log_back(SQLite::Database& database, int wait_ms, int busy_ms);

// Runs `work`, which returns some Stored<T>, and turns SQLite's exceptions into Problems.
template <class Work>
auto guarded(const std::string& path, Work work) -> decltype(work()) {
  try {
    return work();
  } catch (const SQLite::Exception& error) {
    return refuse(problem_of(error, path));
  }
}

}  // namespace loomgraft::store
