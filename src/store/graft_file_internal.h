// What a GraftFile holds. Only store/ includes this file.
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>
#include <sqlite3.h>

#include <atomic>
#include <functional>
#include <memory>
#include <mutex>

#include "store/database_internal.h"
#include "store/file_log_internal.h"
#include "store/graft_file.h"
#include "store/revisions_internal.h"

namespace loomgraft {

namespace store {
// Readings of a document that a file begins with; inside a transaction.
Stored<bool> add_readings(SQLite::Database& database, const std::string& path,
                          const std::vector<Reading>& readings);
// Its number of the sequence; inside a transaction.
std::int64_t write_tick(SQLite::Database& database, const Tick& tick);
}  // namespace store

struct GraftFile::Inner {
  Inner() = default;
  Inner(const Inner&) = delete;
  Inner& operator=(const Inner&) = delete;
  ~Inner();  // leaves a single file behind if nobody else has it open

  std::mutex mutex;  // held during every public call
  std::string path;
  OpenOptions options;
  std::unique_ptr<SQLite::Database> database;
  StoredDocumentPtr cached;
  std::unique_ptr<SQLite::Statement> data_version;
  std::int64_t seen_version = -1;  // of data_version, when `seen_sequence` was read
  std::int64_t seen_sequence = 0;
  bool wrote = false;  // SQLite's data_version tells of other connections only
  Problems remarks;
  bool with_log = false;
  bool as_it_is = false;
  bool hashed = false;                // it has hashes and marks
  std::atomic<bool> replaced{false};  // found once, it stays so: this connection writes nothing more
  store::NamedFiles files;
  std::int64_t known_token = 0;    // of the mark when it was last looked at,
  std::int64_t known_version = 0;  // and SQLite's data_version then
  std::int64_t marked_token = 0;   // the mark with this token is known to be in the file itself

  Stored<StoredDocumentPtr> document();
  Stored<std::vector<Reading>> readings_since(std::int64_t sequence);

  // The edit in the form in which it is kept, as a change of the document of revision `expected`.
  using Edit = std::function<Stored<nlohmann::json>(const nlohmann::json& base)>;
  Stored<Committed> commit(const Edit& edit, std::int64_t expected, const Stamp& stamp);
  Stored<Committed> restore(RevisionKind kind, std::int64_t expected, const Stamp& stamp);
  Stored<Committed> write(store::RevisionRow row, const StoredDocument& current, store::Candidate after);

  // ---- write_guard.cpp, all with the mutex held
  bool watch();  // from here on; false if the file was replaced already
  store::LogMark mark();
  std::int64_t version();  // changes when another connection writes
  // In a transaction that writes. False: the file does not say yet that a log is open.
  bool is_marked();
  // Is what the names lead to still what was opened? In a transaction that writes, or alone.
  bool is_in_place();
  bool content_in_place();
  store::LogMark next_of_file(std::int64_t open);
  void mark_log();
  // At the end of a transaction that changed something.
  void leave_mark();
  bool settle(int wait_ms);
  Problem file_replaced();

  // Runs `work` with the mutex held.
  template <class Work>
  auto with_lock(Work work) -> decltype(work()) {
    const std::lock_guard<std::mutex> lock(mutex);
    return store::guarded(path, work);
  }

  // The same in a transaction that writes; what fails leaves nothing behind.
  template <class Work>
  auto with_write_lock(Work work) -> decltype(work()) {
    return with_lock([&]() -> decltype(work()) {
      if (options.access == Access::read) return store::refuse(opened_for_reading());
      if (replaced) return store::refuse(file_replaced());
      auto transaction = begin();
      if (!transaction) return store::refuse(file_replaced());
      const StoredDocumentPtr before = cached;
      const int changes = sqlite3_total_changes(database->getHandle());
      auto result = work();
      if (!result) {
        cached = before;
        return result;
      }
      try {
        if (sqlite3_total_changes(database->getHandle()) != changes) leave_mark();
        transaction->commit();
      } catch (const SQLite::Exception&) {
        cached = before;
        throw;
      }
      wrote = true;
      if (!files.unchanged()) return store::refuse(file_replaced());
      settle_a_long_log();
      return result;
    });
  }
  // A transaction that writes, on a file that is marked and in place; null if it is not in place.
  std::unique_ptr<SQLite::Transaction> begin();
  void settle_a_long_log();

  Problem opened_for_reading() const {
    return store::store_problem(path, "read-only", "The file was opened for reading only.",
                                "Open it for writing.");
  }
};

}  // namespace loomgraft
