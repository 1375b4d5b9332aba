#include "store/graft_file.h"

#include <algorithm>
#include <mutex>
#include <nlohmann/json.hpp>
#include <set>

#include "loom/graft_json.h"
#include "store/graft_file_internal.h"
#include "store/summary.h"

namespace loomgraft {

using namespace store;

GraftFile::GraftFile(std::unique_ptr<Inner> inner) : inner_(std::move(inner)) {}
GraftFile::GraftFile(GraftFile&&) noexcept = default;
GraftFile& GraftFile::operator=(GraftFile&&) noexcept = default;
GraftFile::~GraftFile() = default;

const std::string& GraftFile::path() const {
  return inner_->path;
}
Access GraftFile::access() const {
  return inner_->options.access;
}
const Problems& GraftFile::remarks() const {
  return inner_->remarks;
}

// ---- opening and making

Stored<GraftFile> GraftFile::open(const std::string& path, const OpenOptions& options) {
  auto opened = open_database(path, options);
  if (!opened) return tl::unexpected(std::move(opened.error()));
  auto inner = std::make_unique<Inner>();
  inner->path = path;
  inner->options = options;
  inner->database = std::move(opened->database);
  inner->remarks = std::move(opened->remarks);
  inner->with_log = opened->with_log;
  inner->as_it_is = opened->as_it_is;
  inner->hashed = opened->hashed;
  auto watched = guarded(path, [&]() -> Stored<bool> {
    if (inner->watch()) return true;
    return refuse(inner->file_replaced());
  });
  if (!watched) return tl::unexpected(std::move(watched.error()));
  GraftFile file(std::move(inner));
  if (!options.check) return file;
  // A file whose document cannot be read is refused at once.
  auto document = file.document();
  if (!document) return tl::unexpected(std::move(document.error()));
  return file;
}

namespace {

Stored<bool> fill_new_file(SQLite::Database& database, const std::string& path, const Graft& graft,
                           const Stamp& stamp) {
  auto after = usable_document(json_without_readings(graft), path);
  if (!after) return tl::unexpected(std::move(after.error()));
  if (auto fine = check_values(after->graft, nullptr, path); !fine) return fine;
  SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
  RevisionRow first;
  first.number = first.state = 1;
  first.stamp = stamp;
  write_revision(database, first, nlohmann::json::array(), after->json);
  auto taken = add_readings(database, path, graft.readings);
  if (taken) transaction.commit();
  return taken;
}

}  // namespace

Stored<GraftFile> GraftFile::create(const std::string& path, const Graft& graft, const Stamp& stamp,
                                    const OpenOptions& options) {
  if (auto fine = check_stamp(stamp, path); !fine) return tl::unexpected(std::move(fine.error()));
  // An unfinished file is named after its path: of two threads that make the same file, one waits.
  static std::mutex mutex;
  std::unique_lock<std::mutex> lock(mutex);
  auto database = create_database(path, options);
  if (!database) {
    drop_unfinished(path);
    return tl::unexpected(std::move(database.error()));
  }
  auto filled = guarded(path, [&] { return fill_new_file(**database, path, graft, stamp); });
  database->reset();
  if (!filled) {
    drop_unfinished(path);
    return tl::unexpected(std::move(filled.error()));
  }
  auto finished = finish_file(path);
  if (!finished) return tl::unexpected(std::move(finished.error()));
  lock.unlock();
  OpenOptions just_written = options;
  just_written.check = false;
  return open(path, just_written);
}

// ---- the document

Stored<StoredDocumentPtr> GraftFile::Inner::document() {
  const std::int64_t number = current_number(*database);
  if (cached && cached->revision == number) return cached;
  Stored<nlohmann::json> json = nlohmann::json();
  if (cached && cached->revision < number && number - cached->revision <= revisions_per_snapshot) {
    json = *cached->json;
    auto played = play_forward(*database, path, *json, cached->revision, number);
    if (!played) return tl::unexpected(std::move(played.error()));
  } else {
    json = json_at(*database, path, number);
  }
  if (!json) return tl::unexpected(std::move(json.error()));
  GraftReading reading = graft_from_parsed(*json, path);
  if (!reading.graft) return tl::unexpected(std::move(reading.problems));
  cached = std::make_shared<const StoredDocument>(StoredDocument{
      number, std::move(*reading.graft), std::make_shared<const nlohmann::json>(std::move(*json))});
  return cached;
}

Stored<StoredDocumentPtr> GraftFile::document() {
  return inner_->with_lock([&] { return inner_->document(); });
}

Stored<StoredDocumentPtr> GraftFile::document_at(std::int64_t revision) {
  return inner_->with_lock([&]() -> Stored<StoredDocumentPtr> {
    if (!find_revision(*inner_->database, revision)) return refuse(no_such_revision(inner_->path, revision));
    auto json = json_at(*inner_->database, inner_->path, revision);
    if (!json) return tl::unexpected(std::move(json.error()));
    GraftReading reading = graft_from_parsed(*json, inner_->path);
    if (!reading.graft) return tl::unexpected(std::move(reading.problems));
    return std::make_shared<const StoredDocument>(StoredDocument{
        revision, std::move(*reading.graft), std::make_shared<const nlohmann::json>(std::move(*json))});
  });
}

Stored<Graft> GraftFile::whole() {
  return inner_->with_lock([&]() -> Stored<Graft> {
    auto document = inner_->document();
    if (!document) return tl::unexpected(std::move(document.error()));
    auto readings = inner_->readings_since(0);
    if (!readings) return tl::unexpected(std::move(readings.error()));
    Graft graft = (*document)->graft;
    graft.readings = std::move(*readings);
    return graft;
  });
}

// ---- history

std::vector<std::string> changes_of(const Revision& revision) {
  std::vector<std::string> changes = revision.summary;
  if (!revision.reason.empty()) changes.insert(changes.begin(), revision.reason);
  return changes;
}

std::string text_of(const Revision& revision) {
  std::string text;
  for (const std::string& change : changes_of(revision)) text += (text.empty() ? "" : "; ") + change;
  return text;
}

namespace {

// The edits whose change is in the document that `state` shows, down to revision `lowest`.
std::set<std::int64_t> edits_in_effect(SQLite::Database& database, std::int64_t state, std::int64_t lowest) {
  std::set<std::int64_t> in_effect;
  while (state >= lowest && state > 0) {
    in_effect.insert(state);
    const auto row = find_revision(database, state);
    if (!row || row->undo_to >= state) break;
    state = row->undo_to;
  }
  return in_effect;
}

std::vector<std::string> first_summary(const nlohmann::json& document) {
  std::string line = "started";
  for (const char* list : {"modules", "connectors", "devices", "wires"}) {
    const auto found = document.find(list);
    const std::size_t count = found == document.end() ? 0 : found->size();
    line += std::string(line == "started" ? " with " : ", ") + std::to_string(count) + " " + list;
  }
  return {line};
}

// Changes `document` to the state of the row's revision and gives the summary of that change.
std::vector<std::string> summary_of_step(SQLite::Database& database, const std::string& path,
                                         nlohmann::json& document, std::int64_t& reached, std::int64_t number,
                                         const std::string& text) {
  std::vector<std::string> lines;
  const nlohmann::json patch = nlohmann::json::parse(text, nullptr, false);
  if (reached + 1 == number && number > 1 && patch.is_array() && advance(document, patch, &lines)) {
    reached = number;
    return lines;
  }
  auto rebuilt = json_at(database, path, number);
  if (!rebuilt) return {"this change cannot be read"};
  document = std::move(*rebuilt);
  reached = number;
  if (number == 1) return first_summary(document);
  return {"this change is lost with the revisions before it"};
}

}  // namespace

Stored<std::vector<Revision>> GraftFile::history(std::int64_t from, std::size_t count) {
  return inner_->with_lock([&]() -> Stored<std::vector<Revision>> {
    SQLite::Database& database = *inner_->database;
    const SQLite::Transaction one_state(database);  // reads only; ends by rolling back nothing
    const std::int64_t current = current_number(database);
    const std::int64_t top = from <= 0 ? current : std::min(from, current);
    const auto wanted = static_cast<std::int64_t>(std::min<std::size_t>(count, 1U << 20U));
    const std::int64_t lowest = std::max<std::int64_t>(1, top - wanted + 1);
    const auto tip = find_revision(database, current);
    const auto in_effect = edits_in_effect(database, tip ? tip->state : 0, lowest);
    nlohmann::json document = nlohmann::json::object();
    std::int64_t reached = -1;
    if (auto before = json_at(database, inner_->path, lowest - 1); lowest > 1 && before) {
      document = std::move(*before);
      reached = lowest - 1;
    }
    std::vector<Revision> revisions;
    SQLite::Statement select(
        database, "SELECT number, patch FROM revisions WHERE number BETWEEN ? AND ? ORDER BY number");
    SQLite::bind(select, lowest, top);
    while (wanted > 0 && select.executeStep()) {
      const auto row = find_revision(database, select.getColumn(0).getInt64());
      if (!row) continue;
      auto summary = summary_of_step(database, inner_->path, document, reached, row->number,
                                     select.getColumn(1).getString());
      const bool undone = row->kind == RevisionKind::edit && !in_effect.contains(row->number);
      revisions.push_back({row->number, row->kind, row->stamp.author, row->stamp.time, row->stamp.reason,
                           std::move(summary), undone});
    }
    std::reverse(revisions.begin(), revisions.end());
    return revisions;
  });
}

// ---- watching

Stored<std::int64_t> GraftFile::last_sequence() {
  return inner_->with_lock([&]() -> Stored<std::int64_t> {
    Inner& inner = *inner_;
    const std::int64_t version = inner.version();
    if (version != inner.seen_version || inner.wrote) {
      inner.wrote = false;
      inner.seen_sequence = inner.database->execAndGet("SELECT seq FROM counter").getInt64();
      inner.seen_version = version;
    }
    return inner.seen_sequence;
  });
}

Stored<std::vector<Change>> GraftFile::changes_since(std::int64_t sequence, std::size_t most) {
  return inner_->with_lock([&]() -> Stored<std::vector<Change>> {
    SQLite::Statement select(*inner_->database,
                             "SELECT seq, 0, CAST(number AS TEXT) FROM revisions WHERE seq > ?1 "
                             "UNION ALL SELECT seq, 1, coalesce(id, '') FROM readings WHERE seq > ?1 "
                             "UNION ALL SELECT seq, 2, id FROM attachments WHERE seq > ?1 "
                             "UNION ALL SELECT seq, 3, id FROM ticks WHERE seq > ?1 AND "
                             "substr(id, 1, 8) <> 'removed:' "
                             "UNION ALL SELECT seq, 4, substr(id, 9) FROM ticks WHERE seq > ?1 AND "
                             "substr(id, 1, 8) = 'removed:' ORDER BY 1 LIMIT ?2");
    SQLite::bind(select, sequence, static_cast<std::int64_t>(std::min<std::size_t>(most, 1U << 30U)));
    std::vector<Change> changes;
    while (select.executeStep()) {
      changes.push_back({select.getColumn(0).getInt64(),
                         static_cast<ChangeKind>(select.getColumn(1).getInt()),
                         select.getColumn(2).getString()});
    }
    return changes;
  });
}

}  // namespace loomgraft
