// Attachments are appended, never edited, and can be removed.
#include <algorithm>
#include <nlohmann/json.hpp>

#include "store/entry_chain_internal.h"
#include "store/entry_checks_internal.h"
#include "store/graft_file_internal.h"
#include "store/sha256.h"

namespace loomgraft {

using namespace store;

namespace {

constexpr const char* removal_subject = "removed photo";

bool is_sha256(std::string_view text) {
  return text.size() == 64 && text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
}

void drop_bytes(SQLite::Database& database, const std::string& id) {
  SQLite::Statement empty(database, "UPDATE attachments SET data = x'' WHERE id = ?");
  empty.bind(1, id);
  empty.exec();
}

// One that was removed in another file comes without bytes, but with their number and hash.
bool usable_bytes(const Attachment& about, std::string_view bytes) {
  if (!about.removed) return bytes.size() <= largest_attachment_bytes && fits_mime(about.mime, bytes);
  return bytes.empty() && about.bytes <= largest_attachment_bytes && is_sha256(about.sha256);
}

bool usable_attachment(const Attachment& about, std::string_view bytes) {
  if (about.id.empty() || !usable_bytes(about, bytes)) return false;
  const auto texts = {&about.id, &about.subject, &about.name, &about.mime, &about.author, &about.time};
  return std::all_of(texts.begin(), texts.end(), [](const std::string* text) { return usable_text(*text); });
}

// The columns that tell what an attachment is, and the entry that removed it.
constexpr const char* select_attachments =
    "SELECT a.id, a.subject, a.name, a.mime, a.author, a.time, a.bytes, a.sha256, length(a.data), t.author, "
    "t.time, a.seq, t.seq FROM attachments AS a LEFT JOIN ticks AS t ON t.id = 'removed:' || a.id ";

Attachment attachment_of(SQLite::Statement& row) {
  const auto text = [&](int column) { return row.getColumn(column).getString(); };
  Attachment about{text(0),
                   text(1),
                   text(2),
                   text(3),
                   text(4),
                   text(5),
                   static_cast<std::uint64_t>(row.getColumn(6).getInt64()),
                   text(7)};
  const bool empty = row.getColumn(8).getInt64() == 0;
  if (empty) about.removed = Removal{text(9), text(10)};
  return about;
}

Problem no_such_attachment(const std::string& path, const std::string& id) {
  return store_problem(path, "not-found", "There is no attachment \"" + id + "\".",
                       "Load the list of attachments again.");
}

Problem was_removed(const std::string& path, const Attachment& about) {
  const std::string by = about.removed->author.empty() ? "" : " by " + about.removed->author;
  return store_problem(path, "removed", "The photo was removed" + by + ".", "Take another one.");
}

}  // namespace

Stored<Appended> GraftFile::attach(const Attachment& about, std::string_view bytes) {
  if (!usable_attachment(about, bytes)) return refuse(unusable_entry(path(), "an attachment"));
  const std::string hash = about.removed ? about.sha256 : sha256_hex(bytes);
  const std::uint64_t size = about.removed ? about.bytes : bytes.size();
  return inner_->with_write_lock([&]() -> Stored<Appended> {
    SQLite::Statement find(*inner_->database, "SELECT seq, sha256, subject FROM attachments WHERE id = ?");
    find.bind(1, about.id);
    if (find.executeStep()) {
      const bool same =
          find.getColumn(1).getString() == hash && find.getColumn(2).getString() == about.subject;
      if (!same) return refuse(id_taken(inner_->path, about.id));
      if (about.removed) drop_bytes(*inner_->database, about.id);
      return Appended{find.getColumn(0).getInt64(), true};
    }
    ChainWriter chain(*inner_->database);
    const std::int64_t seq = chain.next();
    const std::string link =
        chain.link(EntryKind::attachment, {about.id, about.subject, about.name, about.mime, about.author,
                                           about.time, std::to_string(size), hash});
    SQLite::Statement insert(*inner_->database,
                             "INSERT INTO attachments (seq, id, subject, name, mime, author, time, bytes, "
                             "sha256, data, hash) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
    SQLite::bind(insert, seq, about.id, about.subject, about.name, about.mime, about.author, about.time,
                 static_cast<std::int64_t>(size), hash);
    // A pointer even for no bytes: without one SQLite would take it for NULL.
    insert.bindNoCopy(10, bytes.empty() ? "" : bytes.data(), static_cast<int>(bytes.size()));
    insert.bind(11, link.data(), static_cast<int>(link.size()));
    insert.exec();
    chain.finish();
    return Appended{seq, false};
  });
}

Stored<std::vector<Attachment>> GraftFile::attachments() {
  return inner_->with_lock([&]() -> Stored<std::vector<Attachment>> {
    SQLite::Statement select(*inner_->database, std::string(select_attachments) + "ORDER BY a.seq");
    std::vector<Attachment> all;
    while (select.executeStep()) all.push_back(attachment_of(select));
    return all;
  });
}

Stored<std::string> GraftFile::attachment_bytes(const std::string& id) {
  return inner_->with_lock([&]() -> Stored<std::string> {
    SQLite::Statement about(*inner_->database, std::string(select_attachments) + "WHERE a.id = ?");
    about.bind(1, id);
    if (!about.executeStep()) return refuse(no_such_attachment(inner_->path, id));
    const Attachment attachment = attachment_of(about);
    if (attachment.removed) return refuse(was_removed(inner_->path, attachment));
    SQLite::Statement select(*inner_->database, "SELECT data FROM attachments WHERE id = ?");
    select.bind(1, id);
    std::string bytes = select.executeStep() ? select.getColumn(0).getString() : std::string();
    if (sha256_hex(bytes) == attachment.sha256) return bytes;
    return refuse(damaged(inner_->path, "attachment \"" + id + "\" is not what was sent"));
  });
}

Stored<Appended> GraftFile::remove_attachment(const std::string& id, const Removal& removal) {
  if (!usable_text(removal.author) || !is_rfc3339(removal.time))
    return refuse(unusable_entry(path(), "an author or time"));
  auto entry = inner_->with_write_lock([&]() -> Stored<Appended> {
    SQLite::Database& database = *inner_->database;
    SQLite::Statement find(database, std::string(select_attachments) + "WHERE a.id = ?");
    find.bind(1, id);
    if (!find.executeStep()) return refuse(no_such_attachment(inner_->path, id));
    drop_bytes(database, id);
    if (!find.isColumnNull(12)) return Appended{find.getColumn(12).getInt64(), true};
    return Appended{
        write_tick(database, {"removed:" + id, removal_subject, true, removal.author, removal.time}), false};
  });
  if (!entry) return entry;
  // Overwritten bytes remain in the write-ahead log until it is emptied. A reader at this moment prevents that; then the
  // next quiet second does it, or closing the file. The removal itself is complete.
  settle();
  return entry;
}

}  // namespace loomgraft
