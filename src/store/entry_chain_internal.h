// A hash for every entry of a file, each chained to the one before, so that a changed, missing or cut-off entry is seen.
//
// Model   own = SHA-256(kind, sequence number, fields), chained = SHA-256(chained of the entry before, own); a row
//         keeps both. The counter keeps the last chained one, sealed with the last sequence number. Entries of a file
//         that was made without hashes have none; the chain over them as they stood then is kept as its base.
// Gives   which entries are what was written, and whether any is missing. Whoever can write the file can also make it
//         anew: this proves against accidents, not against people.
// Cost    writing: two hashes of the entry; checking: all entries once, photos by their own SHA-256 only on demand
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>

#include <cstdint>
#include <initializer_list>
#include <string>
#include <string_view>
#include <vector>

namespace loomgraft::store {

enum class EntryKind { revision, reading, tick, attachment };

// 32 bytes.
std::string entry_hash(EntryKind kind, std::int64_t seq, std::initializer_list<std::string_view> fields);

// Takes numbers of the one sequence, with the hashes that belong to them; inside a transaction. Without finish() nothing
// of it is kept.
class ChainWriter {
 public:
  explicit ChainWriter(SQLite::Database& database);
  std::int64_t next() { return ++seq_; }
  // What the row of the entry that next() numbered keeps; fields as in entry_fields().
  std::string link(EntryKind kind, std::initializer_list<std::string_view> fields);
  void finish();

 private:
  SQLite::Database& database_;
  std::int64_t first_ = 0;
  std::int64_t seq_ = 0;
  std::string head_;
};

// Gives every entry its hashes anew, for a file that was put together from what could be saved. Entries may be missing.
void hash_all(SQLite::Database& database);
// The counter of a file that had no hashes: what is there becomes the base.
void begin_chain(SQLite::Database& database);

// Goes on counting from `seq` if that is higher.
void raise_sequence(SQLite::Database& database, std::int64_t seq);

struct ChainEntry {
  std::int64_t seq = 0;
  EntryKind kind = EntryKind::revision;
  std::string id;       // number of the revision, or id of the entry
  std::string content;  // hash of what the row holds now
  std::string stored;   // what it was written with, 64 bytes; empty where it has none
  bool altered = false;
};

struct ChainCheck {
  std::vector<ChainEntry> entries;  // in order of writing
  std::int64_t base_seq = 0;        // up to this one entries had no hash when they were written
  bool base_holds = true;
  std::int64_t broken_at = 0;  // the entry before which one is missing; 0: none is
  bool complete = true;        // the last one is there, and the counter is what was written
  bool whole() const;
};

// Throws as SQLite does where a page cannot be read.
ChainCheck check_chain(SQLite::Database& database);
// The first thing that is wrong, in words; empty if nothing is.
std::string first_fault(const ChainCheck& check);
// "reading "r7"", "revision 3"
std::string entry_text(const ChainEntry& entry);

}  // namespace loomgraft::store
