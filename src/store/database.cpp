#include <fcntl.h>
#include <sqlite3.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdio>
#include <cstring>

#include "store/database_internal.h"
#include "store/entry_chain_internal.h"
#include "store/file_log_internal.h"
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
  if (!S_ISREG(info.st_mode)) return not_a_graft_file(path);
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

// On a share a log's shared memory does not reach the other computers, and its locks may not either.
void use_no_log(SQLite::Database& database) {
  database.exec("PRAGMA locking_mode = EXCLUSIVE");  // reads a log that is there without shared memory
  database.exec("PRAGMA journal_mode = DELETE");
  database.exec("PRAGMA locking_mode = NORMAL");
  database.execAndGet("SELECT count(*) FROM sqlite_schema");  // gives the lock back
}

void set_up(SQLite::Database& database, const OpenOptions& options, bool with_log) {
  if (options.access == Access::write) {
    if (with_log) {
      database.exec("PRAGMA journal_mode = WAL");
    } else {
      use_no_log(database);
    }
    database.exec("PRAGMA wal_autocheckpoint = 0");  // see write_guard.cpp
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
  const std::string verdict = database.execAndGet("PRAGMA integrity_check(1)").getString();
  if (verdict != "ok") return damaged(path, verdict.substr(0, 200));
  if (version < first_hashed_version) return std::nullopt;
  const SQLite::Transaction one_state(database);  // reads only
  const std::string fault = first_fault(check_chain(database));
  if (!fault.empty()) return damaged(path, fault);
  return std::nullopt;
}

Problem remark(const std::string& path, Severity severity, ProblemCode code, std::string message,
               std::string remedy) {
  Problem problem = store_problem(path, code, std::move(message), std::move(remedy));
  problem.severity = severity;
  return problem;
}

std::string file_name(const std::string& path) {
  return path.substr(path.rfind('/') + 1);
}

void say_moved(const std::string& path, const std::vector<std::string>& moved, Problems& remarks) {
  for (const std::string& name : moved) {
    remarks.push_back(remark(path, Severity::warning, "log-moved-aside",
                             "Beside the file lay a log that belongs to another state of it, or to another "
                             "file. It was not used, and is kept as \"" +
                                 file_name(name) + "\".",
                             "If the latest entries are missing, the file was replaced while its log was "
                             "not: keep both and ask for help."));
  }
}

void say_incomplete(const std::string& path, std::int64_t last, Severity severity, Problems& remarks) {
  remarks.push_back(
      remark(path, severity, "copy-incomplete",
             "The file was copied while it was in use, without its log: what was written after entry " +
                 std::to_string(last) + " may be missing.",
             "Use a copy made with `loomgraft backup`, or copy the file again once the program has ended."));
}

// What opening for writing changes in a file of an earlier version.
bool add_hashes(SQLite::Database& database) {
  SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
  if (has_hashes(database)) return false;
  database.exec(add_hashes_sql);
  begin_chain(database);
  write_mark(database, {});
  database.exec("PRAGMA user_version = " + std::to_string(schema_version));
  transaction.commit();
  write_log_back(database, 1000, 1000);
  return true;
}

// Remembers in the file that entries may be missing, so that it is said whenever it is opened.
void note_loss(SQLite::Database& database) {
  SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
  database.exec("UPDATE counter SET lost = seq");
  write_mark(database, next_mark(read_mark(database), 0));
  transaction.commit();
  write_log_back(database, 1000, 1000);
}

// What a program that was killed or lost its power left in the log. Until it is in the file, a page of which only a part
// was written back may stand there.
void take_in_log(SQLite::Database& database) {
  for (const bool in_file : {false, true}) {  // first what it holds, then a token that no copy of it has
    SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
    const LogMark mark = read_mark(database);
    write_mark(database, in_file ? next_mark(mark, 0) : LogMark{mark.token, mark.based_on, 0});
    transaction.commit();
    if (!write_log_back(database, 1000, 1000)) return;
  }
}

void see_to_marks(OpenedDatabase& opened, const std::string& path, const OpenOptions& options,
                  const Beside& beside) {
  SQLite::Database& database = *opened.database;
  const bool writes = options.access == Access::write;
  if (writes && !has_hashes(database) && add_hashes(database)) {
    opened.remarks.push_back(remark(
        path, Severity::note, "hashes-started",
        "The file is of an earlier version. Entries get hashes from now on, so that later damage is seen; "
        "earlier versions of the program no longer open it.",
        "Nothing needs doing."));
  }
  opened.hashed = has_hashes(database);
  if (!opened.hashed) return;
  if (writes && opened.with_log && beside.log_holds) take_in_log(database);
  const bool incomplete = beside.incomplete;
  if (incomplete && writes) note_loss(database);
  if (writes && !opened.with_log && read_mark(database).open != 0)
    write_mark(database, next_mark(read_mark(database), 0));
  const std::int64_t lost = database.execAndGet("SELECT lost FROM counter").getInt64();
  if (incomplete || lost > 0) {
    say_incomplete(path, lost > 0 ? lost : last_number(database),
                   incomplete ? Severity::warning : Severity::note, opened.remarks);
  }
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

DatabasePtr connect_as(const std::string& name, int flags, const OpenOptions& options) {
  auto database = std::make_unique<SQLite::Database>(name, flags, options.busy_ms);
  disable_code_in_file(*database);
  // Closing would write the log into whatever file has the name by then: write_guard.cpp looks first.
  sqlite3_db_config(database->getHandle(), SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, nullptr);
  return database;
}

// In a folder that cannot be written SQLite cannot make the log's index; then the file is read alone.
DatabasePtr connect_as_it_is(const std::string& path, const OpenOptions& options) {
  return connect_as(immutable_address(path), SQLite::OPEN_READONLY | SQLite::OPEN_URI, options);
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
      if (!no_rights) throw;
    }
  }
  return nullptr;
}

OpenedDatabase connect(const std::string& path, const OpenOptions& options, const Beside& beside) {
  OpenedDatabase opened;
  if (options.access == Access::write) {
    opened.database = connect_as(path, SQLite::OPEN_READWRITE, options);
    return opened;
  }
  if (!beside.strange_remains) opened.database = connect_to_read(path, options);
  if (opened.database) return opened;
  opened.database = connect_as_it_is(path, options);
  opened.as_it_is = true;
  if (beside.log_holds || beside.strange_remains) {
    opened.remarks.push_back(
        remark(path, Severity::warning, "log-ignored",
               beside.strange_remains ? "Beside the file lies a log that belongs to another state of it, or "
                                        "to another file. It was not used."
                                      : "Beside the file lies its log, which cannot be read where nothing "
                                        "can be written: the latest entries are missing here.",
               "Copy the file and its log (-wal) to a folder that can be written, and open it there."));
  }
  return opened;
}

Problem can_only_be_read(const std::string& path) {
  return store_problem(path, "read-only", "The file can only be read.",
                       "Copy it to a folder that can be written, or change its permissions.");
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
    case SQLITE_NOTADB:
      return not_a_graft_file(path);
    case SQLITE_IOERR:
      return not_written(path, "the disk reports an error");
    default:
      return damaged(path, error.what());
  }
}

Stored<OpenedDatabase> open_database(const std::string& path, const OpenOptions& options) {
  if (auto problem = check_file_type(path)) return refuse(std::move(*problem));
  return guarded(path, [&]() -> Stored<OpenedDatabase> {
    const bool writes = options.access == Access::write;
    const Beside beside = clear_beside(path);
    if (writes && beside.strange_remains) return refuse(can_only_be_read(path));
    OpenedDatabase opened = connect(path, options, beside);
    SQLite::Database& database = *opened.database;
    // Checked before any setting is made: a database of another program is not changed.
    if (auto problem = check_content(database, path, false)) return refuse(std::move(*problem));
    if (writes && sqlite3_db_readonly(database.getHandle(), "main") == 1)
      return refuse(can_only_be_read(path));
    const std::string share = options.network_folder ? "a network share" : network_kind(path);
    opened.with_log = share.empty() && !opened.as_it_is;
    set_up(database, options, opened.with_log);
    if (auto problem = check_content(database, path, options.check)) return refuse(std::move(*problem));
    say_moved(path, beside.moved, opened.remarks);
    if (writes && !share.empty()) {
      opened.remarks.push_back(remark(
          path, Severity::note, "network-folder",
          "The folder is on a share (" + share + "). The file is written without a log: that is slower.",
          "Let only one computer write here at a time; a folder on this computer's own disk is safer."));
    }
    see_to_marks(opened, path, options, beside);
    return opened;
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
    begin_chain(*database);
    write_mark(*database, next_mark({}, 0));
    transaction.commit();
    return database;
  });
}

std::string unfinished_name(const std::string& path) {
  return path + ".unfinished-" + std::to_string(getpid());
}

void sync_folder_of(const std::string& path) {
  const std::size_t slash = path.rfind('/');
  const std::string folder = slash == std::string::npos ? "." : path.substr(0, slash + 1);
  const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) return;
  fsync(descriptor);
  close(descriptor);
}

Stored<bool> finish_file(const std::string& path) {
  const std::string from = unfinished_name(path);
  // What lies beside a free name is of an earlier file, and would be taken for this one's.
  struct stat taken {};
  if (lstat(path.c_str(), &taken) != 0) clear_for_new(path);
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

bool has_hashes(SQLite::Database& database) {
  return pragma_value(database, "user_version") >= first_hashed_version;
}

std::int64_t last_number(SQLite::Database& database) {
  return database.execAndGet("SELECT seq FROM counter").getInt64();
}

bool write_log_back(SQLite::Database& database, int wait_ms, int busy_ms) {
  sqlite3* const handle = database.getHandle();
  sqlite3_busy_timeout(handle, wait_ms);
  const int status = sqlite3_wal_checkpoint_v2(handle, "main", SQLITE_CHECKPOINT_TRUNCATE, nullptr, nullptr);
  sqlite3_busy_timeout(handle, busy_ms);
  return status == SQLITE_OK;
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
