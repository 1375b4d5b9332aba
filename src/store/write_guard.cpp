// What stands between a write and its acknowledgement: is the file that was opened still the file of that name, and
// would a copy of it show that its log is missing? The marks are explained in file_log_internal.h.
#include <chrono>
#include <thread>

#include "store/graft_file_internal.h"

namespace loomgraft {

using namespace store;

namespace {

constexpr int patience_ms = 200;  // how long a write waits for readers before it goes on unmarked
constexpr std::uint64_t long_log_bytes =
    8ULL << 20U;  // as much as a few photos; reading slows down with its length

}  // namespace

Problem GraftFile::Inner::file_replaced() {
  replaced = true;
  return store_problem(path, "file-replaced",
                       "The file was replaced, cut or removed while it was open; this was not saved.",
                       "Look whether the file there is the right one, then make the change again.");
}

LogMark GraftFile::Inner::mark() {
  return read_mark(*database);
}

bool GraftFile::Inner::is_marked() {
  if (!with_log) return true;
  const LogMark now = mark();
  if (now.open == 0) return false;
  if (now.token == marked_token) return true;
  const auto in_file = mark_in_file(*database);
  if (!in_file || in_file->token != now.token || in_file->open == 0) return false;
  marked_token = now.token;
  return true;
}

bool GraftFile::Inner::is_in_place() {
  return !replaced && files.unchanged() && (!with_log || as_it_is || !hashed || content_in_place());
}

// The log begins on the token that the file has, so the file's own token is that of this log or the one before it. A
// token that changes though no connection wrote is that of a file that was copied over this one. Another process may be
// writing the log back at this moment: a page that is half written is read again.
bool GraftFile::Inner::content_in_place() {
  constexpr int tries = 20;
  for (int i = 0; i < tries; ++i) {
    if (i > 0) std::this_thread::sleep_for(std::chrono::milliseconds(2));
    if (!files.unchanged()) return false;
    // While the log holds entries, the end of the file may not have been written back yet.
    if (files.log_bytes() == 0 && bytes_in_file(*database) > files.bytes()) continue;
    const LogMark now = mark();
    const std::int64_t changes = version();
    const auto in_file = mark_in_file(*database);
    if (!in_file || (in_file->token != now.token && in_file->token != now.based_on)) continue;
    if (now.token != known_token && changes == known_version) continue;
    known_token = now.token;
    known_version = changes;
    return true;
  }
  return false;
}

// With others in the process that still have a replaced file open, a log can be taken for this file's: not for long.
bool GraftFile::Inner::watch() {
  files = NamedFiles(path, with_log);
  int moved = 0;
  sqlite3_file_control(database->getHandle(), "main", SQLITE_FCNTL_HAS_MOVED, &moved);
  replaced = moved != 0 && !as_it_is;
  if (!hashed) return !replaced;
  known_token = mark().token;
  known_version = version();
  // A reader may look at a file whose power was lost while the log was written back; a writer has seen to that.
  return options.access == Access::read || is_in_place();
}

std::int64_t GraftFile::Inner::version() {
  if (!data_version) data_version = std::make_unique<SQLite::Statement>(*database, "PRAGMA data_version");
  data_version->reset();
  data_version->executeStep();
  const std::int64_t value = data_version->getColumn(0).getInt64();
  data_version->reset();
  return value;
}

// While the file lacks the last mark, its log has not begun anew and needs no new token.
LogMark GraftFile::Inner::next_of_file(std::int64_t open) {
  const LogMark now = mark();
  const auto in_file = mark_in_file(*database);
  if (in_file && in_file->token == now.token) return next_mark(now, open);
  return {now.token, now.based_on, open};
}

// The mark goes through the log like everything else; writing the log back at once puts it into the file. A reader who
// does not end prevents that: then the entry is still safe, and only a copy made now would not show that it is partial.
void GraftFile::Inner::mark_log() {
  {
    SQLite::Transaction transaction(*database, SQLite::TransactionBehavior::IMMEDIATE);
    if (!is_in_place() || is_marked()) return;
    const LogMark next = next_of_file(files.inode());
    write_mark(*database, next);
    transaction.commit();
    marked_token = known_token = next.token;
  }
  write_log_back(*database, std::min(options.busy_ms, patience_ms), options.busy_ms);
}

std::unique_ptr<SQLite::Transaction> GraftFile::Inner::begin() {
  constexpr int tries = 3;  // somebody else may settle the log in between
  try {
    for (int i = 0;; ++i) {
      auto transaction =
          std::make_unique<SQLite::Transaction>(*database, SQLite::TransactionBehavior::IMMEDIATE);
      if (!is_in_place()) return nullptr;
      if (i == tries || is_marked()) return transaction;
      transaction.reset();
      mark_log();
    }
  } catch (const SQLite::Exception&) {
    if (!files.unchanged() || (hashed && !mark_in_file(*database))) return nullptr;
    throw;
  }
}

void GraftFile::Inner::leave_mark() {
  // Without a log, what was before can lie in a journal: the same marks tell whose that is.
  if (!hashed) return;
  LogMark now = mark();
  if (!with_log) {
    now = next_mark(now, 0);
  } else if (const auto in_file = mark_in_file(*database); in_file && in_file->token == now.token) {
    now.based_on = now.token;
  }
  write_mark(*database, now);
}

// A log is emptied only with `open` at 0 and a new token, and the next write begins with a mark: so no log of before fits the
// file, nor an early copy of the log.
bool GraftFile::Inner::settle(int wait_ms) {
  if (!with_log || as_it_is || replaced) return !replaced;
  {
    SQLite::Transaction transaction(*database, SQLite::TransactionBehavior::IMMEDIATE);
    if (!is_in_place()) {
      replaced = true;
      return false;
    }
    if (mark().open != 0) {
      const LogMark next = next_of_file(0);
      write_mark(*database, next);
      transaction.commit();
      known_token = next.token;
    }
  }
  const bool emptied = write_log_back(*database, wait_ms, options.busy_ms);
  files.unchanged();  // takes note of the file's new size
  return emptied;
}

void GraftFile::Inner::settle_a_long_log() {
  if (!with_log || files.log_bytes() < long_log_bytes) return;
  try {
    settle(patience_ms);
  } catch (const SQLite::Exception&) {  // what was written is in the log, and the next write tries again
    return;
  }
}

GraftFile::Inner::~Inner() {
  if (!database || as_it_is || replaced) return;
  try {
    if (options.access == Access::write) settle(0);
    // Then the last one to close removes the log and its index. Others may write meanwhile: then this is not the last.
    const bool may_remove = is_in_place() && (!hashed || mark().open == 0);
    if (may_remove) sqlite3_db_config(database->getHandle(), SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 0, nullptr);
  } catch (const SQLite::Exception&) {
    return;  // the log stays beside the file, which is as good
  }
}

bool GraftFile::in_place() {
  const std::lock_guard<std::mutex> lock(inner_->mutex);
  Inner& inner = *inner_;
  if (inner.as_it_is || inner.replaced) return !inner.replaced;
  try {
    if (!inner.is_in_place()) inner.replaced = true;
  } catch (const SQLite::Exception&) {  // whoever reads or writes next is told
    return true;
  }
  return !inner.replaced;
}

bool GraftFile::replaced() const {
  return inner_->replaced;
}

Stored<bool> GraftFile::settle() {
  return inner_->with_lock([&]() -> Stored<bool> {
    if (inner_->options.access == Access::read) return refuse(inner_->opened_for_reading());
    return inner_->settle(std::min(inner_->options.busy_ms, patience_ms));
  });
}

}  // namespace loomgraft
