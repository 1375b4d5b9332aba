#include <fcntl.h>
#include <sqlite3.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdio>
#include <cstring>

#include "store/database_internal.h"
#include "store/schema_internal.h"

namespace loomgraft::store {
namespace {

using DatabasePtr = std::unique_ptr<SQLite::Database>;

int pragma_value(SQLite::Database& database, const std::string& name) {
  return database.execAndGet("PRAGMA " + name).getInt();
}

Problem not_a_graft_file(const std::string& path) {
  return store_problem(path, "not-a-graft-file", "This is not a graft file.",
                       "Choose a file that ends in .graft, or make one from a document: loomgraft import.");
}

std::optional<Problem> check_file_type(const std::string& path) {
  struct stat info {};
  if (stat(path.c_str(), &info) != 0) {
    return store_problem(path, "not-found", "There is no such file.",
                         "Check the name and the folder; a phone's or stick's folder may not be there.");
  }
  if (!S_ISREG(info.st_mode) || !looks_like_graft_file(path)) return not_a_graft_file(path);
  return std::nullopt;
}

// Views, triggers and functions of the file are not run: it may come from anyone.
void disable_code_in_file(SQLite::Database& database) {
  sqlite3* const handle = database.getHandle();
  sqlite3_db_config(handle, SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
  sqlite3_db_config(handle, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, nullptr);
  sqlite3_db_config(handle, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, nullptr);
  sqlite3_db_config(handle, SQLITE_DBCONFIG_ENABLE_VIEW, 0, nullptr);
}

void set_up(SQLite::Database& database, const OpenOptions& options) {
  if (options.access == Access::write) {
    database.exec("PRAGMA journal_mode = WAL");
    database.exec("PRAGMA synchronous = FULL");
    database.exec("PRAGMA secure_delete = ON");  // no removed photo remains in a free page
    if (options.largest_bytes > 0) {
      database.execAndGet("PRAGMA max_page_count = " + std::to_string(options.largest_bytes / page_bytes));
    }
  }
  database.exec("PRAGMA foreign_keys = ON");
  database.exec("PRAGMA cell_size_check = ON");
}

std::optional<Problem> check_content(SQLite::Database& database, const std::string& path, bool check) {
  if (pragma_value(database, "application_id") != application_id) return not_a_graft_file(path);
  const int version = pragma_value(database, "user_version");
  if (version > schema_version) {
    return store_problem(path, "newer-file", "The file was written by a newer version of the program.",
                         "Open it with that version, or export the document there and import it here.");
  }
  if (!check) return std::nullopt;
  const std::string verdict = database.execAndGet("PRAGMA quick_check(1)").getString();
  if (verdict != "ok") return damaged(path, verdict.substr(0, 200));
  return std::nullopt;
}

// A file address in which no byte of the path means anything else.
std::string immutable_address(const std::string& path) {
  std::string out = "file:";
  for (const char c : path) {
    const auto byte = static_cast<unsigned char>(c);
    const bool plain = std::isalnum(byte) != 0 || c == '/' || c == '.' || c == '-' || c == '_';
    std::array<char, 4> escaped{};
    std::snprintf(escaped.data(), escaped.size(), "%%%02X", static_cast<unsigned>(byte));
    out += plain ? std::string(1, c) : std::string(escaped.data());
  }
  return out + "?immutable=1";
}

bool holds_something(const std::string& path) {
  struct stat info {};
  return stat(path.c_str(), &info) == 0 && info.st_size > 0;
}

DatabasePtr connect_as(const std::string& name, int flags, const OpenOptions& options) {
  auto database = std::make_unique<SQLite::Database>(name, flags, options.busy_ms);
  disable_code_in_file(*database);
  return database;
}

// SQLite leaves its two files beside a WAL database if the last connection to close is read-only. So a reader opens
// the file for writing if it can, and sets query_only.
DatabasePtr connect_to_read(const std::string& path, const OpenOptions& options) {
  for (const int flags : {SQLite::OPEN_READWRITE, SQLite::OPEN_READONLY}) {
    try {
      DatabasePtr database = connect_as(path, flags, options);
      database->exec("PRAGMA query_only = ON");
      pragma_value(*database, "schema_version");
      return database;
    } catch (const SQLite::Exception& error) {
      const bool no_rights =
          error.getErrorCode() == SQLITE_CANTOPEN || error.getErrorCode() == SQLITE_READONLY;
      if (!no_rights || (flags == SQLite::OPEN_READONLY && holds_something(path + "-wal"))) throw;
    }
  }
  // In a folder that cannot be written SQLite cannot make those two files. If there are none, nobody is writing,
  // and the file alone is complete.
  return connect_as(immutable_address(path), SQLite::OPEN_READONLY | SQLite::OPEN_URI, options);
}

DatabasePtr connect(const std::string& path, const OpenOptions& options) {
  if (options.access == Access::read) return connect_to_read(path, options);
  return connect_as(path, SQLite::OPEN_READWRITE, options);
}

void sync_folder_of(const std::string& path) {
  const std::size_t slash = path.rfind('/');
  const std::string folder = slash == std::string::npos ? "." : path.substr(0, slash + 1);
  const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) return;
  fsync(descriptor);
  close(descriptor);
}

Problem file_exists(const std::string& path) {
  return store_problem(path, "file-exists", "There is a file of this name already.", "Choose another name.");
}

Problem not_written(const std::string& path, const std::string& why) {
  return store_problem(path, "not-written", "The file could not be written: " + why + ".",
                       "Check the folder, its permissions and the space left, then try again.");
}

}  // namespace

Problem store_problem(const std::string& path, ProblemCode code, std::string message, std::string remedy) {
  return {Severity::error, code, {path, 0, 0, ""}, std::move(message), std::move(remedy)};
}

tl::unexpected<Problems> refuse(Problem problem) {
  return tl::unexpected(Problems{std::move(problem)});
}

Problem in_file(Problem problem, const std::string& path) {
  problem.location.file = path;
  return problem;
}

Problem no_such_revision(const std::string& path, std::int64_t number) {
  return store_problem(path, "no-such-revision", "There is no revision " + std::to_string(number) + ".",
                       "Load the document again and use the revision that it names.");
}

Problem damaged(const std::string& path, const std::string& what) {
  return store_problem(path, "damaged", "The file is damaged: " + what + ".",
                       "Keep it as it is, and save what can be read with `loomgraft recover`.");
}

Problem problem_of(const SQLite::Exception& error, const std::string& path) {
  switch (error.getErrorCode()) {
    case SQLITE_FULL:
      return store_problem(path, "disk-full", "There is no space left on the disk; nothing was changed.",
                           "Free some space and try again.");
    case SQLITE_READONLY:
    case SQLITE_PERM:
      return store_problem(path, "read-only", "The file or its folder can only be read.",
                           "Copy it to a folder that can be written, or change its permissions.");
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return store_problem(path, "busy", "Another program is writing to the file; nothing was changed.",
                           "Try again; if that does not help, close the other program.");
    case SQLITE_CANTOPEN:
      return store_problem(path, "not-found", "The file could not be opened.",
                           "Check the name, the folder and its permissions.");
    case SQLITE_IOERR:
      return not_written(path, "the disk reports an error");
    default:
      return damaged(path, error.what());
  }
}

Stored<DatabasePtr> open_database(const std::string& path, const OpenOptions& options) {
  if (auto problem = check_file_type(path)) return refuse(std::move(*problem));
  return guarded(path, [&]() -> Stored<DatabasePtr> {
    DatabasePtr database = connect(path, options);
    // Checked before any setting is made: a database of another program is not changed.
    if (auto problem = check_content(*database, path, false)) return refuse(std::move(*problem));
    if (options.access == Access::write && sqlite3_db_readonly(database->getHandle(), "main") == 1) {
      return refuse(store_problem(path, "read-only", "The file can only be read.",
                                  "Copy it to a folder that can be written, or change its permissions."));
    }
    set_up(*database, options);
    if (auto problem = check_content(*database, path, options.check)) return refuse(std::move(*problem));
    return database;
  });
}

Stored<DatabasePtr> create_database(const std::string& path, const OpenOptions& options) {
  struct stat info {};
  if (lstat(path.c_str(), &info) == 0) return refuse(file_exists(path));
  drop_unfinished(path);
  return guarded(path, [&]() -> Stored<DatabasePtr> {
    auto database = std::make_unique<SQLite::Database>(
        unfinished_name(path), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE, options.busy_ms);
    database->exec("PRAGMA page_size = " + std::to_string(page_bytes));
    database->exec("PRAGMA auto_vacuum = NONE");
    // A single file until it has its name; opening it for writing switches to WAL.
    database->exec("PRAGMA journal_mode = DELETE");
    database->exec("PRAGMA synchronous = FULL");
    database->exec("PRAGMA foreign_keys = ON");
    SQLite::Transaction transaction(*database);
    database->exec("PRAGMA application_id = " + std::to_string(application_id));
    database->exec("PRAGMA user_version = " + std::to_string(schema_version));
    database->exec(schema_sql);
    transaction.commit();
    return database;
  });
}

std::string unfinished_name(const std::string& path) {
  return path + ".unfinished-" + std::to_string(getpid());
}

Stored<bool> finish_file(const std::string& path) {
  const std::string from = unfinished_name(path);
  int failed = renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, path.c_str(), RENAME_NOREPLACE);
  if (failed != 0 && errno == EINVAL) {  // a file system that cannot refuse to replace
    struct stat info {};
    failed = lstat(path.c_str(), &info) == 0 ? -1 : std::rename(from.c_str(), path.c_str());
    if (failed != 0) errno = EEXIST;
  }
  if (failed == 0) {
    sync_folder_of(path);
    return true;
  }
  const int why = errno;
  drop_unfinished(path);
  if (why == EEXIST) return refuse(file_exists(path));
  return refuse(not_written(path, std::strerror(why)));
}

void drop_unfinished(const std::string& path) {
  for (const char* part : {"", "-journal", "-wal", "-shm"}) {
    unlink((unfinished_name(path) + part).c_str());
  }
}

std::int64_t next_sequence(SQLite::Database& database, std::int64_t count) {
  SQLite::Statement update(database, "UPDATE counter SET seq = seq + ? RETURNING seq");
  update.bind(1, count);
  if (!update.executeStep()) throw SQLite::Exception("the sequence is lost", SQLITE_CORRUPT);
  return update.getColumn(0).getInt64();
}

}  // namespace loomgraft::store

namespace loomgraft {

using namespace store;

bool looks_like_graft_file(const std::string& path) {
  constexpr std::string_view magic("SQLite format 3\0", 16);
  std::array<char, magic.size()> head{};
  std::FILE* file = std::fopen(path.c_str(), "rbe");
  if (file == nullptr) return false;
  const std::size_t got = std::fread(head.data(), 1, head.size(), file);
  std::fclose(file);
  return got == head.size() && std::string_view(head.data(), head.size()) == magic;
}

}  // namespace loomgraft
