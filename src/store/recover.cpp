// Recovery copies the damaged file, replaces an unreadable first page, reads every table row by row, and writes what
// the rules of a graft file accept into a new file. Ids in the indexes and gaps in the sequence show what is lost.
#include "store/recover.h"

#include <sqlite3.h>

#include <algorithm>
#include <charconv>
#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>
#include <set>

#include "loom/graft_json.h"
#include "store/database_internal.h"
#include "store/entry_chain_internal.h"
#include "store/entry_checks_internal.h"
#include "store/revisions_internal.h"
#include "store/salvage_internal.h"
#include "store/sha256.h"
#include "store/summary.h"

namespace loomgraft {

using namespace store;
using Json = nlohmann::json;

namespace {

// In place of a time that is lost; plainly not a real one.
constexpr const char* unknown_time = "1970-01-01T00:00:00Z";

struct FoundRevision {
  std::int64_t seq = 0;
  std::vector<std::string> cells;  // number, parent, kind, state, undo_to, author, time, reason, patch, hash
};

struct Found {
  std::map<std::int64_t, FoundRevision> revisions;  // by number
  std::map<std::int64_t, std::string> snapshots;
  std::set<std::int64_t> rebuilt;  // numbers of the revisions whose document can be rebuilt
};

std::int64_t number_in(const std::string& cell) {
  std::int64_t value = 0;
  std::from_chars(cell.data(), cell.data() + cell.size(), value);
  return value;
}

bool is_document(const Json& json) {
  const GraftReading reading = graft_from_parsed(json, "");
  return reading.graft.has_value();
}

// Replays the revisions as opening does, and notes which ones can be rebuilt.
void find_rebuilt(Found& found) {
  Json document;
  std::int64_t reached = -1;
  for (const auto& [number, revision] : found.revisions) {
    const Json patch = Json::parse(revision.cells[8], nullptr, false);
    const bool follows = reached == number - 1 && patch.is_array() && advance(document, patch, nullptr);
    if (follows) reached = number;
    const auto snapshot = found.snapshots.find(number);
    if (!follows && snapshot != found.snapshots.end()) {
      document = Json::parse(snapshot->second, nullptr, false);
      if (document.is_object() && is_document(document)) reached = number;
    }
    if (reached == number) found.rebuilt.insert(number);
  }
}

bool has_column_of_hashes(SQLite::Database& database) {
  try {
    SQLite::Statement(database, "SELECT hash FROM readings LIMIT 1").executeStep();
    return true;
  } catch (const SQLite::Exception& error) {
    return error.getErrorCode() != SQLITE_ERROR;  // no such column
  }
}

enum class Proof { proven, none, altered };

Proof proof_of(const std::string& stored, const std::string& content) {
  if (stored.empty()) return Proof::none;
  return stored.substr(0, std::min<std::size_t>(stored.size(), 32)) == content ? Proof::proven
                                                                               : Proof::altered;
}

class Recovery {
 public:
  Recovery(SQLite::Database& from, SQLite::Database& to, const std::string& path)
      : from_(from),
        to_(to),
        path_(path),
        top_(highest_sequence(from)),
        hashed_(has_column_of_hashes(from)) {}

  Stored<Recovered> run() {
    SQLite::Transaction transaction(to_, SQLite::TransactionBehavior::IMMEDIATE);
    revisions();
    readings();
    ticks();
    attachments();
    if (kept_.empty()) {
      return refuse(store_problem(path_, "nothing-recovered", "Nothing in this file could be read.",
                                  "Look for an older copy of it."));
    }
    if (result_.revisions == 0) empty_document();
    report_altered();
    report_lost_entries();
    report_proof();
    sequence_up_to(std::max(top_, *kept_.rbegin()));
    hash_all(to_);
    transaction.commit();
    return std::move(result_);
  }

 private:
  void lost(Severity severity, ProblemCode code, std::string message) {
    Problem problem = store_problem(path_, code, std::move(message),
                                    "Look for it in an older copy, an export or on the phone it came from.");
    problem.severity = severity;
    result_.lost.push_back(std::move(problem));
  }

  Found find_revisions() {
    Found found;
    salvage(from_,
            {"revisions",
             "seq",
             {"number", "parent", "kind", "state", "undo_to", "author", "time", "reason", "patch",
              hash_column()}},
            top_, [&](SalvagedRow row) {
              const std::int64_t number = number_in(row.cells[0]);
              if (number > 0) found.revisions[number] = {row.key, std::move(row.cells)};
            });
    salvage(from_, {"snapshots", "number", {"document"}}, top_,
            [&](SalvagedRow row) { found.snapshots[row.key] = std::move(row.cells[0]); });
    // A full copy whose revision is lost is still a state of the document; it gets a new sequence number.
    std::int64_t spare = top_;
    for (const auto& [number, text] : found.snapshots) {
      if (found.revisions.contains(number)) continue;
      const std::string own = std::to_string(number);
      found.revisions[number] = {
          ++spare,
          {own, "", "edit", own, "0", "", unknown_time, "who made this change cannot be read", "", ""}};
    }
    find_rebuilt(found);
    return found;
  }

  void revisions() {
    const Found found = find_revisions();
    for (const std::int64_t number : found.rebuilt) {
      write_found(found, number);
      count_proof(found, number);
      result_.revision = number;
      ++result_.revisions;
    }
    std::set<std::int64_t> missing;
    const std::int64_t highest = found.revisions.empty() ? 0 : found.revisions.rbegin()->first;
    for (std::int64_t number = 1; number <= highest; ++number) {
      if (!found.rebuilt.contains(number)) missing.insert(number);
    }
    for (const auto& [number, revision] : found.revisions) {
      if (missing.contains(number)) reported_.insert(revision.seq);
    }
    if (missing.empty()) return;
    lost(missing.contains(highest) ? Severity::error : Severity::warning, "revisions-lost",
         "The document cannot be rebuilt as it was at revision " + ranges(missing) +
             (missing.contains(highest) ? "; the newest one that can is older than the last." : "."));
  }

  const char* hash_column() const { return hashed_ ? "hash" : "''"; }

  // Whether the row is what was written. One that is not is named at the end.
  bool is_as_written(EntryKind kind, const SalvagedRow& row, std::initializer_list<std::string_view> fields,
                     const std::string& stored, const std::string& says) {
    const Proof proof = proof_of(stored, entry_hash(kind, row.key, fields));
    if (proof == Proof::proven) ++result_.proven;
    if (proof == Proof::none) ++result_.unproven;
    if (proof != Proof::altered) return true;
    altered_.push_back(says);
    return false;
  }

  void count_proof(const Found& found, std::int64_t number) {
    const FoundRevision& revision = found.revisions.at(number);
    const auto& cells = revision.cells;
    const auto copy = found.snapshots.find(number);
    const std::string_view parent = cells[1].empty() ? std::string_view("0") : std::string_view(cells[1]);
    is_as_written(EntryKind::revision, {revision.seq, {}},
                  {cells[0], parent, cells[2], cells[3], cells[4], cells[5], cells[6], cells[7], cells[8],
                   copy == found.snapshots.end() ? std::string_view() : std::string_view(copy->second)},
                  cells[9], "revision " + std::to_string(number) + " (kept: look at what it changed)");
  }

  void report_altered() {
    constexpr std::size_t max_named = 20;
    std::string names;
    for (std::size_t i = 0; i < altered_.size() && i < max_named; ++i)
      names += (i == 0 ? "" : "; ") + altered_[i];
    if (altered_.empty()) return;
    if (altered_.size() > max_named)
      names += "; and " + std::to_string(altered_.size() - max_named) + " more";
    lost(Severity::warning, "entries-altered", "Not what was written: " + names + ".");
  }

  // Whether the newest entry is the last that was written: only the counter, sealed with it, can tell.
  bool end_is_proven() {
    try {
      const ChainCheck check = check_chain(from_);
      return check.whole();
    } catch (const SQLite::Exception&) {
      return false;
    }
  }

  void note(ProblemCode code, std::string message) {
    Problem problem = store_problem(path_, code, std::move(message), "Nothing needs doing.");
    problem.severity = Severity::note;
    result_.proof.push_back(std::move(problem));
  }

  void report_proof() {
    const bool complete = hashed_ && end_is_proven();
    if (result_.proven > 0) {
      note("proven-whole",
           std::to_string(result_.proven) + (result_.proven == 1 ? " entry is" : " entries are") +
               " proven by hash to be what was written" +
               (complete ? ", and none is missing." : "; that none is missing is not proven."));
    }
    if (result_.unproven > 0) {
      note("not-proven", std::to_string(result_.unproven) +
                             (result_.unproven == 1 ? " entry was" : " entries were") +
                             " written without a hash, by an earlier version: readable, but not proven.");
    }
  }

  // An undo or redo whose edit is lost becomes an edit without a predecessor.
  void write_found(const Found& found, std::int64_t number) {
    const FoundRevision& revision = found.revisions.at(number);
    const auto& cells = revision.cells;
    const std::int64_t state = number_in(cells[3]);
    const std::int64_t undo_to = number_in(cells[4]);
    const bool known = found.rebuilt.contains(state) && (cells[2] == "undo" || cells[2] == "redo");
    SQLite::Statement insert(
        to_,
        "INSERT INTO revisions (seq, number, parent, kind, state, undo_to, author, time, "
        "reason, patch) VALUES (?, ?, nullif(?, 0), ?, ?, ?, ?, ?, ?, ?)");
    SQLite::bind(insert, revision.seq, number, found.rebuilt.contains(number - 1) ? number - 1 : 0,
                 known ? cells[2] : std::string("edit"), known ? state : number,
                 found.rebuilt.contains(undo_to) ? undo_to : 0, cells[5], cells[6], cells[7], cells[8]);
    insert.exec();
    kept_.insert(revision.seq);
    const auto snapshot = found.snapshots.find(number);
    const bool needed = !found.rebuilt.contains(number - 1);
    if (snapshot == found.snapshots.end()) return;
    const Json document = Json::parse(snapshot->second, nullptr, false);
    if (!needed && !(document.is_object() && is_document(document))) return;
    SQLite::Statement copy(to_, "INSERT INTO snapshots (number, document) VALUES (?, ?)");
    SQLite::bind(copy, number, snapshot->second);
    copy.exec();
  }

  // So that no sequence number is used twice.
  void sequence_up_to(std::int64_t highest) {
    SQLite::Statement update(to_, "UPDATE counter SET seq = max(seq, ?)");
    update.bind(1, highest);
    update.exec();
  }

  void empty_document() {
    RevisionRow first;
    first.number = first.state = 1;
    first.stamp = {"", unknown_time, "nothing of the document could be read"};
    const Json document = json_without_readings(Graft{});
    sequence_up_to(std::max(top_, *kept_.rbegin()));
    write_revision(to_, first, Json::array(), document);
    result_.revision = 1;
    lost(Severity::error, "document-lost", "Nothing of the document could be read; the new one is empty.");
  }

  // Inserts the row with its sequence number; a row that violates a constraint of the new file counts as lost.
  bool insert(const std::string& sql, SalvagedRow row, bool last_is_blob = false) {
    row.cells.pop_back();  // its hash: all are made anew at the end
    try {
      SQLite::Statement insert(to_, sql);
      insert.bind(1, row.key);
      for (std::size_t i = 0; i < row.cells.size(); ++i) {
        if (last_is_blob && i + 1 == row.cells.size()) {
          insert.bind(static_cast<int>(i) + 2, row.cells[i].data(), static_cast<int>(row.cells[i].size()));
        } else {
          insert.bind(static_cast<int>(i) + 2, row.cells[i]);
        }
      }
      insert.exec();
    } catch (const SQLite::Exception& error) {
      if (error.getErrorCode() != SQLITE_CONSTRAINT) throw;
      return false;
    }
    kept_.insert(row.key);
    return true;
  }

  void readings() {
    salvage(from_, {"readings", "seq", {"id", "body", hash_column()}}, top_, [&](const SalvagedRow& row) {
      const GraftReading reading =
          graft_from_json("{\"format\":\"loomgraft\",\"version\":1,\"readings\":[" + row.cells[1] + "]}", "");
      const bool fine = reading.graft && reading.problems.empty() && reading.graft->readings.size() == 1;
      if (!fine || (!row.cells[0].empty() && reading.graft->readings[0].id != row.cells[0])) return;
      if (!is_as_written(EntryKind::reading, row, {row.cells[0], row.cells[1]}, row.cells[2],
                         "reading " + row.cells[1].substr(0, 300) + " (left out: measure again)")) {
        reported_.insert(row.key);
        return;
      }
      if (insert("INSERT INTO readings (seq, id, body) VALUES (?, nullif(?, ''), ?)", row))
        ++result_.readings;
    });
    report_lost_ids("readings", "readings-lost", "Reading");
  }

  void ticks() {
    salvage(from_, {"ticks", "seq", {"id", "subject", "done", "author", "time", hash_column()}}, top_,
            [&](const SalvagedRow& row) {
              const auto& cells = row.cells;
              if (!is_as_written(EntryKind::tick, row, {cells[0], cells[1], cells[2], cells[3], cells[4]},
                                 cells[5], "tick \"" + cells[0].substr(0, 100) + "\" (left out)")) {
                reported_.insert(row.key);
                return;
              }
              if (insert("INSERT INTO ticks (seq, id, subject, done, author, time) VALUES (?, ?, ?, ?, ?, ?)",
                         row)) {
                ++result_.ticks;
                removals_.insert(row.cells[0]);
              }
            });
    report_lost_ids("ticks", "ticks-lost", "Tick");
  }

  void attachments() {
    salvage(
        from_,
        {"attachments",
         "seq",
         {"id", "subject", "name", "mime", "author", "time", "bytes", "sha256", "data", hash_column()}},
        top_, [&](const SalvagedRow& row) {
          const auto& cells = row.cells;
          const bool removed = cells[8].empty() && removals_.contains("removed:" + cells[0]);
          if (!removed && sha256_hex(cells[8]) != cells[7]) return;
          if (!is_as_written(EntryKind::attachment, row,
                             {cells[0], cells[1], cells[2], cells[3], cells[4], cells[5], cells[6], cells[7]},
                             cells[9], "photo \"" + cells[0].substr(0, 100) + "\" (left out)")) {
            reported_.insert(row.key);
            return;
          }
          if (insert("INSERT INTO attachments (seq, id, subject, name, mime, author, time, bytes, sha256, "
                     "data) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                     row, true)) {
            ++result_.attachments;
          }
        });
    report_lost_ids("attachments", "attachments-lost", "Attachment");
  }

  void report_lost_ids(const std::string& table, ProblemCode code, const std::string& word) {
    constexpr std::size_t max_named = 20;
    std::string names;
    std::size_t count = 0;
    for (const auto& [seq, id] : ids_in_index(from_, table)) {
      if (kept_.contains(seq) || !reported_.insert(seq).second) continue;
      if (++count <= max_named) names += (count == 1 ? "" : ", ") + ("\"" + id.substr(0, 100) + "\"");
    }
    if (count == 0) return;
    if (count > max_named) names += " and " + std::to_string(count - max_named) + " more";
    lost(Severity::warning, code, word + " " + names + " cannot be read.");
  }

  void report_lost_entries() {
    std::set<std::int64_t> unreported;
    for (std::int64_t seq = 1; seq <= top_; ++seq) {
      if (!kept_.contains(seq) && !reported_.contains(seq)) unreported.insert(seq);
    }
    if (unreported.empty()) return;
    lost(Severity::warning, "entries-lost",
         "Of the entries in order of writing, number " + ranges(unreported) +
             " cannot be read; whether it was a change, reading, tick or photo is not known.");
  }

  SQLite::Database& from_;
  SQLite::Database& to_;
  const std::string& path_;
  std::int64_t top_;
  bool hashed_;
  std::vector<std::string> altered_;  // what is not as it was written
  std::set<std::int64_t> kept_;       // numbers of the sequence that are in the new file
  std::set<std::int64_t> reported_;   // and those listed in `lost`
  std::set<std::string> removals_;    // ids of the ticks, those that remove a photo among them
  Recovered result_;
};

Stored<Recovered> recover_copy(const std::string& path, const std::string& to, const RepairCopy& copy) {
  auto target = create_database(to, {});
  if (!target) return tl::unexpected(std::move(target.error()));
  auto result = guarded(path, [&]() -> Stored<Recovered> {
    SQLite::Database source(to + ".mend", SQLite::OPEN_READWRITE);
    return Recovery(source, **target, path).run();
  });
  target->reset();
  if (!result) return result;
  if (copy.strange_log) {
    Problem problem = store_problem(
        path, "log-moved-aside",
        "The log beside the file belongs to another state of it, or to another file, and was not used.",
        "Keep it as long as entries are missing.");
    problem.severity = Severity::warning;
    result->lost.push_back(std::move(problem));
  }
  if (copy.first_page_replaced) {
    Problem problem = store_problem(path, "first-page-lost",
                                    "The first page of the file could not be read and was replaced.", "");
    problem.severity = Severity::note;
    result->lost.push_back(std::move(problem));
  }
  auto finished = finish_file(to);
  if (!finished) return tl::unexpected(std::move(finished.error()));
  return result;
}

}  // namespace

Stored<Recovered> recover(const std::string& path, const std::string& to) {
  std::error_code failed;
  if (!std::filesystem::is_regular_file(path, failed)) {
    return refuse(store_problem(path, "not-found", "There is no such file.", "Check the name."));
  }
  if (std::filesystem::exists(to, failed)) {
    return refuse(
        store_problem(to, "file-exists", "There is a file of this name already.", "Choose another name."));
  }
  const Problem nothing = store_problem(path, "nothing-recovered", "Nothing in this file could be read.",
                                        "Look for an older copy of it.");
  const RepairCopy copy = copy_for_repair(path, to);
  Stored<Recovered> result = copy.made ? recover_copy(path, to, copy) : Stored<Recovered>(refuse(nothing));
  for (const char* part : {".mend", ".mend-wal", ".mend-shm", ".mend-journal"}) {
    std::filesystem::remove(to + part, failed);
  }
  drop_unfinished(to);
  return result;
}

}  // namespace loomgraft
