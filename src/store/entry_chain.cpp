#include <sqlite3.h>

#include <algorithm>
#include <array>

#include "store/entry_chain_internal.h"
#include "store/sha256.h"

namespace loomgraft::store {
namespace {

constexpr std::size_t hash_bytes = 32;

struct EntryTable {
  EntryKind kind;
  const char* name;
  const char* id;
  // What an entry says, in the order in which it is hashed. A photo stands in it by its SHA-256, for it can be removed.
  std::vector<const char*> fields;
};

const std::array<EntryTable, 4>& entry_tables() {
  static const std::array<EntryTable, 4> tables = {
      EntryTable{
          EntryKind::revision,
          "revisions",
          "number",
          {"number", "coalesce(parent, 0)", "kind", "state", "undo_to", "author", "time", "reason", "patch",
           "coalesce((SELECT document FROM snapshots WHERE snapshots.number = revisions.number), '')"}},
      EntryTable{EntryKind::reading, "readings", "coalesce(id, '')", {"coalesce(id, '')", "body"}},
      EntryTable{EntryKind::tick, "ticks", "id", {"id", "subject", "done", "author", "time"}},
      EntryTable{EntryKind::attachment,
                 "attachments",
                 "id",
                 {"id", "subject", "name", "mime", "author", "time", "bytes", "sha256"}}};
  return tables;
}

void add_number(std::string& text, std::uint64_t number) {
  for (int shift = 56; shift >= 0; shift -= 8) text += static_cast<char>(number >> shift & 0xffU);
}

// Each field with its length before it, so that no two lists of fields give the same bytes.
class EntryText {
 public:
  EntryText(EntryKind kind, std::int64_t seq) {
    text_ += static_cast<char>(kind);
    add_number(text_, static_cast<std::uint64_t>(seq));
  }
  void add(std::string_view field) {
    add_number(text_, field.size());
    text_ += field;
  }
  std::string hash() const { return sha256_bytes(text_); }

 private:
  std::string text_;
};

std::string chained(std::string before, std::string_view own) {
  before += own;
  return sha256_bytes(before);
}

std::string blob(SQLite::Statement& row, int column) {
  return row.getColumn(column).getString();
}

std::string seal_of(const std::string& head, std::int64_t seq) {
  std::string text = head;
  add_number(text, static_cast<std::uint64_t>(seq));
  return sha256_bytes(text);
}

void bind_blob(SQLite::Statement& statement, int at, const std::string& bytes) {
  statement.bind(at, bytes.data(), static_cast<int>(bytes.size()));
}

void take_table(SQLite::Database& database, const EntryTable& table, std::vector<ChainEntry>& entries) {
  std::string sql = std::string("SELECT seq, ") + table.id + ", hash";
  for (const char* field : table.fields) sql += std::string(", ") + field;
  SQLite::Statement select(database, sql + " FROM " + table.name);
  while (select.executeStep()) {
    ChainEntry entry;
    entry.seq = select.getColumn(0).getInt64();
    entry.kind = table.kind;
    entry.id = select.getColumn(1).getString();
    entry.stored = blob(select, 2);
    EntryText text(entry.kind, entry.seq);
    for (int i = 0; i < static_cast<int>(table.fields.size()); ++i) {
      text.add(select.getColumn(3 + i).getString());
    }
    entry.content = text.hash();
    entries.push_back(std::move(entry));
  }
}

std::vector<ChainEntry> all_entries(SQLite::Database& database) {
  std::vector<ChainEntry> entries;
  for (const EntryTable& table : entry_tables()) take_table(database, table, entries);
  std::sort(entries.begin(), entries.end(),
            [](const ChainEntry& a, const ChainEntry& b) { return a.seq < b.seq; });
  return entries;
}

std::string beginning() {
  return std::string(hash_bytes, '\0');
}

void write_counter(SQLite::Database& database, std::int64_t seq, const std::string& head) {
  SQLite::Statement update(database, "UPDATE counter SET seq = ?, head = ?");
  update.bind(1, seq);
  bind_blob(update, 2, head + seal_of(head, seq));
  update.exec();
}

}  // namespace

std::string entry_hash(EntryKind kind, std::int64_t seq, std::initializer_list<std::string_view> fields) {
  EntryText text(kind, seq);
  for (const std::string_view field : fields) text.add(field);
  return text.hash();
}

ChainWriter::ChainWriter(SQLite::Database& database) : database_(database) {
  SQLite::Statement select(database, "SELECT seq, head FROM counter");
  if (!select.executeStep()) throw SQLite::Exception("the sequence is lost", SQLITE_CORRUPT);
  first_ = seq_ = select.getColumn(0).getInt64();
  head_ = blob(select, 1).substr(0, hash_bytes);
}

std::string ChainWriter::link(EntryKind kind, std::initializer_list<std::string_view> fields) {
  const std::string own = entry_hash(kind, seq_, fields);
  head_ = chained(head_, own);
  return own + head_;
}

void ChainWriter::finish() {
  if (seq_ > first_) write_counter(database_, seq_, head_);
}

void hash_all(SQLite::Database& database) {
  std::string head = beginning();
  std::int64_t last = database.execAndGet("SELECT seq FROM counter").getInt64();
  for (const ChainEntry& entry : all_entries(database)) {
    head = chained(head, entry.content);
    const auto* const table = std::find_if(entry_tables().begin(), entry_tables().end(),
                                           [&](const EntryTable& one) { return one.kind == entry.kind; });
    SQLite::Statement update(database, std::string("UPDATE ") + table->name + " SET hash = ? WHERE seq = ?");
    bind_blob(update, 1, entry.content + head);
    update.bind(2, entry.seq);
    update.exec();
    last = std::max(last, entry.seq);
  }
  write_counter(database, last, head);
}

void begin_chain(SQLite::Database& database) {
  std::string head = beginning();
  for (const ChainEntry& entry : all_entries(database)) head = chained(head, entry.content);
  const std::int64_t seq = database.execAndGet("SELECT seq FROM counter").getInt64();
  SQLite::Statement base(database, "UPDATE counter SET base_seq = ?, base = ?");
  base.bind(1, seq);
  bind_blob(base, 2, head);
  base.exec();
  write_counter(database, seq, head);
}

void raise_sequence(SQLite::Database& database, std::int64_t seq) {
  SQLite::Statement select(database, "SELECT seq, head FROM counter");
  if (!select.executeStep() || select.getColumn(0).getInt64() >= seq) return;
  const std::string head = blob(select, 1).substr(0, hash_bytes);
  select.reset();
  write_counter(database, seq, head);
}

bool ChainCheck::whole() const {
  return first_fault(*this).empty();
}

ChainCheck check_chain(SQLite::Database& database) {
  ChainCheck check;
  check.entries = all_entries(database);
  SQLite::Statement counter(database, "SELECT seq, head, base_seq, base FROM counter");
  if (!counter.executeStep()) throw SQLite::Exception("the sequence is lost", SQLITE_CORRUPT);
  const std::int64_t seq = counter.getColumn(0).getInt64();
  const std::string head = blob(counter, 1);
  check.base_seq = counter.getColumn(2).getInt64();
  const std::string base = blob(counter, 3);
  std::string at = beginning();
  std::size_t next = 0;
  auto& entries = check.entries;
  for (; next < entries.size() && entries[next].seq <= check.base_seq; ++next)
    at = chained(at, entries[next].content);
  check.base_holds = check.base_seq == 0 || at == base;
  if (!check.base_holds) at = base;
  for (; next < entries.size(); ++next) {
    ChainEntry& entry = entries[next];
    const std::string own = entry.stored.substr(0, std::min(hash_bytes, entry.stored.size()));
    entry.altered = entry.stored.size() != 2 * hash_bytes || own != entry.content;
    if (entry.stored.size() != 2 * hash_bytes) continue;
    const std::string link = entry.stored.substr(hash_bytes);
    if (chained(at, own) != link && check.broken_at == 0) check.broken_at = entry.seq;
    at = link;
  }
  check.complete = head == at + seal_of(at, seq);
  return check;
}

std::string entry_text(const ChainEntry& entry) {
  constexpr std::array<const char*, 4> words = {"revision ", "reading ", "tick ", "photo "};
  const std::string word = words[static_cast<std::size_t>(entry.kind)];
  if (entry.kind == EntryKind::revision) return word + entry.id;
  return word + "\"" + entry.id.substr(0, 100) + "\"";
}

std::string first_fault(const ChainCheck& check) {
  const auto altered = std::find_if(check.entries.begin(), check.entries.end(),
                                    [](const ChainEntry& entry) { return entry.altered; });
  if (altered != check.entries.end()) return entry_text(*altered) + " is not what was written";
  if (check.broken_at != 0)
    return "an entry before number " + std::to_string(check.broken_at) + " is missing or was changed";
  if (!check.base_holds) return "an entry from before it had hashes was changed";
  if (!check.complete) return "the last entries are missing";
  return {};
}

}  // namespace loomgraft::store
