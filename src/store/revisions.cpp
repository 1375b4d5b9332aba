#include <algorithm>

#include "loom/document_values.h"
#include "loom/graft_json.h"
#include "store/database_internal.h"
#include "store/entry_chain_internal.h"
#include "store/entry_checks_internal.h"
#include "store/revisions_internal.h"
#include "store/summary.h"

namespace loomgraft::store {
namespace {

using Json = nlohmann::json;

RevisionKind kind_of(const std::string& name) {
  if (name == "undo") return RevisionKind::undo;
  return name == "redo" ? RevisionKind::redo : RevisionKind::edit;
}

bool is_fatal(const Problem& problem) {
  return problem.severity == Severity::error || problem.code == "unknown-member";
}

}  // namespace

std::int64_t current_number(SQLite::Database& database) {
  return database.execAndGet("SELECT coalesce(max(number), 0) FROM revisions").getInt64();
}

std::optional<RevisionRow> find_revision(SQLite::Database& database, std::int64_t number) {
  SQLite::Statement select(database,
                           "SELECT number, parent, kind, state, undo_to, author, time, reason FROM revisions "
                           "WHERE number = ?");
  select.bind(1, number);
  if (!select.executeStep()) return std::nullopt;
  return RevisionRow{
      select.getColumn(0).getInt64(),
      select.getColumn(1).getInt64(),
      kind_of(select.getColumn(2).getString()),
      select.getColumn(3).getInt64(),
      select.getColumn(4).getInt64(),
      {select.getColumn(5).getString(), select.getColumn(6).getString(), select.getColumn(7).getString()}};
}

std::int64_t redo_target(SQLite::Database& database, std::int64_t state) {
  SQLite::Statement select(
      database, "SELECT coalesce(max(number), 0) FROM revisions WHERE kind = 'edit' AND undo_to = ?");
  select.bind(1, state);
  select.executeStep();
  return select.getColumn(0).getInt64();
}

Stored<bool> play_forward(SQLite::Database& database, const std::string& path, Json& document,
                          std::int64_t from, std::int64_t to) {
  SQLite::Statement select(
      database, "SELECT number, patch FROM revisions WHERE number > ? AND number <= ? ORDER BY number");
  select.bind(1, from);
  select.bind(2, to);
  std::int64_t reached = from;
  while (select.executeStep()) {
    const std::int64_t number = select.getColumn(0).getInt64();
    const Json patch = Json::parse(select.getColumn(1).getString(), nullptr, false);
    if (number != reached + 1 || !patch.is_array() || !advance(document, patch, nullptr)) break;
    reached = number;
  }
  if (reached == to) return true;
  return refuse(damaged(path, "revision " + std::to_string(reached + 1) + " cannot be rebuilt"));
}

Stored<Json> json_at(SQLite::Database& database, const std::string& path, std::int64_t number) {
  SQLite::Statement select(
      database, "SELECT number, document FROM snapshots WHERE number <= ? ORDER BY number DESC LIMIT 1");
  select.bind(1, number);
  if (!select.executeStep()) return refuse(damaged(path, "the document has no beginning"));
  const std::int64_t from = select.getColumn(0).getInt64();
  Json document = Json::parse(select.getColumn(1).getString(), nullptr, false);
  if (!document.is_object()) {
    return refuse(
        damaged(path, "the copy of the document at revision " + std::to_string(from) + " is no document"));
  }
  auto played = play_forward(database, path, document, from, number);
  if (!played) return tl::unexpected(std::move(played.error()));
  return document;
}

void write_revision(SQLite::Database& database, const RevisionRow& row, const Json& patch,
                    const Json& after) {
  ChainWriter chain(database);
  const std::int64_t seq = chain.next();
  const std::string patch_text = patch.dump();
  const bool with_copy = row.number % revisions_per_snapshot == 1;
  const std::string copy = with_copy ? after.dump() : std::string();
  const std::string hash = chain.link(
      EntryKind::revision,
      {std::to_string(row.number), std::to_string(row.parent), name_of(row.kind), std::to_string(row.state),
       std::to_string(row.undo_to), row.stamp.author, row.stamp.time, row.stamp.reason, patch_text, copy});
  SQLite::Statement insert(database,
                           "INSERT INTO revisions (seq, number, parent, kind, state, undo_to, author, time, "
                           "reason, patch, hash) VALUES (?, ?, nullif(?, 0), ?, ?, ?, ?, ?, ?, ?, ?)");
  SQLite::bind(insert, seq, row.number, row.parent, name_of(row.kind), row.state, row.undo_to,
               row.stamp.author, row.stamp.time, row.stamp.reason, patch_text);
  insert.bind(11, hash.data(), static_cast<int>(hash.size()));
  insert.exec();
  chain.finish();
  if (!with_copy) return;
  SQLite::Statement snapshot(database, "INSERT INTO snapshots (number, document) VALUES (?, ?)");
  SQLite::bind(snapshot, row.number, copy);
  snapshot.exec();
}

Json json_without_readings(const Graft& graft) {
  nlohmann::ordered_json ordered = to_json(graft);
  ordered.erase("readings");
  Json json(ordered);
  try {
    (void)json.dump();
  } catch (const Json::type_error&) {  // texts that are no UTF-8 are kept with marks, as write_graft() does
    json = Json::parse(json.dump(-1, ' ', false, Json::error_handler_t::replace));
  }
  return json;
}

Stored<Candidate> usable_document(const Json& json, const std::string& path) {
  GraftReading reading = graft_from_parsed(json, path);
  Problems problems;
  std::copy_if(reading.problems.begin(), reading.problems.end(), std::back_inserter(problems), is_fatal);
  if (!reading.graft || !problems.empty()) {
    problems.insert(
        problems.begin(),
        store_problem(path, "document-not-usable",
                      "With this change the document could not be read again; nothing was changed.",
                      "Correct what follows."));
    return tl::unexpected(std::move(problems));
  }
  if (!reading.graft->readings.empty()) {
    return refuse(store_problem(path, "readings-not-edited",
                                "Readings are no part of the document that is edited; nothing was changed.",
                                "Append a reading instead."));
  }
  Json kept = json_without_readings(*reading.graft);
  return Candidate{std::move(kept), std::move(*reading.graft)};
}

Stored<bool> check_values(const Graft& after, const Graft* before, const std::string& path) {
  Problems fresh = impossible_values(after);
  if (fresh.empty()) return true;
  if (before) {
    const Problems known = impossible_values(*before);
    const auto is_known = [&](const Problem& one) {
      return std::ranges::any_of(known, [&](const Problem& other) {
        return other.code == one.code && other.message == one.message;
      });
    };
    std::erase_if(fresh, is_known);
  }
  if (fresh.empty()) return true;
  for (Problem& problem : fresh) problem.location.file = path;
  return tl::unexpected(std::move(fresh));
}

Stored<bool> check_stamp(const Stamp& stamp, const std::string& path) {
  for (const std::string* text : {&stamp.author, &stamp.time, &stamp.reason}) {
    if (!usable_text(*text)) return refuse(unusable_entry(path, "an author, time or reason"));
  }
  if (!is_rfc3339(stamp.time)) {
    return refuse(store_problem(path, "entry-not-usable",
                                "\"" + stamp.time + "\" is no time with date and zone.",
                                "Write it like 2026-03-01T10:00:00Z."));
  }
  return true;
}

}  // namespace loomgraft::store
