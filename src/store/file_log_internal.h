// What lies beside a graft file: the write-ahead log (-wal), its index (-shm), a journal. Whose is it, and is it there?
//
// Model   the counter's page keeps a token, the token before it (`based_on`) and whether a log is open. Before the first
//         entry goes to an empty log, the file gets a new token and its own inode number in `open`, on the disk; every
//         transaction writes the counter's page, so the log repeats the token. When the log was written back and
//         emptied, `open` is 0. So
//           - a log belongs to the file if the file's token is one of the log's, or the one that the log began on. It
//             begins on the token before its own if the mark itself is in it, else on its own;
//           - a file whose `open` is set and whose log is missing is a copy that lacks its last entries.
// Needs   page 2 of the file is the counter's (schema.cpp)
// Method  docs/store.md, "Beside the file"
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>
#include <sys/stat.h>

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"

namespace loomgraft::store {

struct LogMark {
  std::int64_t token = 0;
  std::int64_t based_on = 0;
  std::int64_t open = 0;  // inode number of the file in which the log was opened; 0: all is in the file
};

// As the counter keeps it: always as long, and with a checksum, so that a page of which a power loss left a part is
// taken for none.
LogMark read_mark(SQLite::Database& database);
// Inside a transaction.
void write_mark(SQLite::Database& database, const LogMark& mark);
// The next token, based on this one.
LogMark next_mark(const LogMark& mark, std::int64_t open);

// The mark in the counter's page as bytes; none where it is no such page. A page of version 1 has an empty mark.
std::optional<LogMark> mark_in_page(std::string_view page);

// The mark as the file alone has it, whatever the log says; reads through the connection's own descriptor, for closing
// another one would drop the locks that this process has on the file (POSIX).
std::optional<LogMark> mark_in_file(SQLite::Database& database);

// How long the file must be, by its first page; 0 where that cannot be read.
std::uint64_t bytes_in_file(SQLite::Database& database);

// What was found beside a file before it is opened, and done about it.
struct Beside {
  bool in_use = false;      // somebody has the file open: what lies there is theirs, and they have looked
  bool log_holds = false;   // its own log has entries that are not yet in the file
  bool incomplete = false;  // the file is a copy without its log
  bool strange = false;     // a log or journal of another file lay there
  bool strange_remains = false;    // and could not be moved
  std::vector<std::string> moved;  // to these names
};
// Looks under SQLite's exclusive lock, so that nobody reads or writes meanwhile, and moves aside what is not the file's
// own: it gets the name "job.graft.log-2026-03-01T10-00-00", by the time of its last change. Where nothing can be written
// it only looks. Throws as SQLite does.
Beside clear_beside(const std::string& path);
// The same where there is no file of this name: whatever lies there is of an earlier one.
std::vector<std::string> clear_for_new(const std::string& path);

// Which files the names lead to, so that a change of them is seen.
class NamedFiles {
 public:
  NamedFiles() = default;
  // As they are now.
  NamedFiles(std::string path, bool with_log);
  // False once one of them is another file, is gone, or the file has become shorter.
  bool unchanged();
  std::int64_t inode() const { return static_cast<std::int64_t>(file_.inode); }
  std::uint64_t bytes() const { return file_.bytes; }
  std::uint64_t log_bytes() const { return log_bytes_; }

 private:
  struct Named {
    std::uint64_t device = 0;
    std::uint64_t inode = 0;
    std::uint64_t bytes = 0;
  };
  static Named look(const std::string& name);
  bool same(Named& known, const std::string& name);

  std::string path_;
  bool with_log_ = false;
  Named file_, log_, index_;
  std::uint64_t log_bytes_ = 0;
};

// "NFS" and the like for a file system on which a log and its shared memory cannot be relied on; else empty.
std::string network_kind(const std::string& path);

}  // namespace loomgraft::store
