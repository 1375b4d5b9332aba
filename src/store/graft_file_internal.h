// What a GraftFile holds. Only store/ includes this file.
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>

#include <functional>
#include <memory>
#include <mutex>

#include "store/database_internal.h"
#include "store/graft_file.h"
#include "store/revisions_internal.h"

namespace loomgraft {

namespace store {
// Readings of a document that a file begins with; inside a transaction.
Stored<bool> add_readings(SQLite::Database& database, const std::string& path,
                          const std::vector<Reading>& readings);
}  // namespace store

struct GraftFile::Inner {
  std::mutex mutex;  // held during every public call
  std::string path;
  OpenOptions options;
  std::unique_ptr<SQLite::Database> database;
  StoredDocumentPtr cached;
  std::unique_ptr<SQLite::Statement> data_version;
  std::int64_t seen_version = -1;  // of data_version, when `seen_sequence` was read
  std::int64_t seen_sequence = 0;
  bool wrote = false;  // SQLite's data_version tells of other connections only

  Stored<StoredDocumentPtr> document();
  Stored<std::vector<Reading>> readings_since(std::int64_t sequence);

  // The edit in the form in which it is kept, as a change of the document of revision `expected`.
  using Edit = std::function<Stored<nlohmann::json>(const nlohmann::json& base)>;
  Stored<Committed> commit(const Edit& edit, std::int64_t expected, const Stamp& stamp);
  Stored<Committed> restore(RevisionKind kind, std::int64_t expected, const Stamp& stamp);
  Stored<Committed> write(store::RevisionRow row, const StoredDocument& current, store::Candidate after);

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
      SQLite::Transaction transaction(*database, SQLite::TransactionBehavior::IMMEDIATE);
      const StoredDocumentPtr before = cached;
      auto result = work();
      if (!result) {
        cached = before;
        return result;
      }
      try {
        transaction.commit();
      } catch (const SQLite::Exception&) {
        cached = before;
        throw;
      }
      wrote = true;
      return result;
    });
  }

  Problem opened_for_reading() const {
    return store::store_problem(path, "read-only", "The file was opened for reading only.",
                                "Open it for writing.");
  }
};

}  // namespace loomgraft
