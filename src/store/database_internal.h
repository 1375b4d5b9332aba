// The SQLite side of a graft file: opening, its schema, and what SQLite's errors are called. Only store/
// includes this file.
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>
#include <SQLiteCpp/VariadicBind.h>

#include <memory>
#include <string>

#include "store/graft_file.h"

namespace loomgraft::store {

inline constexpr int schema_version = 1;

Problem store_problem(const std::string& path, ProblemCode code, std::string message, std::string remedy);
tl::unexpected<Problems> refuse(Problem problem);
Problem problem_of(const SQLite::Exception& error, const std::string& path);
Problem in_file(Problem problem, const std::string& path);
Problem no_such_revision(const std::string& path, std::int64_t number);
Problem damaged(const std::string& path, const std::string& what);

// An open connection to a file that is a graft file of a version we know.
Stored<std::unique_ptr<SQLite::Database>> open_database(const std::string& path, const OpenOptions& options);

// A connection to an empty graft file at `path`, where nothing may stand yet. It gets its name when complete:
// see finish_file().
Stored<std::unique_ptr<SQLite::Database>> create_database(const std::string& path,
                                                          const OpenOptions& options);

// The name that a file is made under, before it is given its own.
std::string unfinished_name(const std::string& path);
// Gives the closed file its own name, which nobody may have taken meanwhile.
Stored<bool> finish_file(const std::string& path);
void drop_unfinished(const std::string& path);

// The next number of the file's one sequence; inside a transaction.
std::int64_t next_sequence(SQLite::Database& database, std::int64_t count = 1);

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
