// Revisions as rows: how the document is rebuilt from them, and written. Only store/ includes this file.
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>

#include <nlohmann/json.hpp>

#include "store/graft_file.h"

namespace loomgraft::store {

// A full copy of the document stands at every 32nd revision, from the first one on: a bound on what opening
// costs.
inline constexpr std::int64_t revisions_per_snapshot = 32;

struct RevisionRow {
  std::int64_t number = 0;
  std::int64_t parent = 0;
  RevisionKind kind = RevisionKind::edit;
  std::int64_t state = 0;    // the edit whose document this one shows
  std::int64_t undo_to = 0;  // the state it was made on; 0 for the first
  Stamp stamp;
};

// 0 in a file without revisions.
std::int64_t current_number(SQLite::Database& database);
std::optional<RevisionRow> find_revision(SQLite::Database& database, std::int64_t number);
// The edit that redo would bring back from `state`; 0 where there is none.
std::int64_t redo_target(SQLite::Database& database, std::int64_t state);

// Carries `document` from revision `from` to `to` by the patches between.
Stored<bool> play_forward(SQLite::Database& database, const std::string& path, nlohmann::json& document,
                          std::int64_t from, std::int64_t to);
Stored<nlohmann::json> json_at(SQLite::Database& database, const std::string& path, std::int64_t number);

// Inside a transaction. `after` is the document of the new revision.
void write_revision(SQLite::Database& database, const RevisionRow& row, const nlohmann::json& patch,
                    const nlohmann::json& after);

// The document in the form in which it is kept: what graft_from_parsed() makes of it, without readings.
struct Candidate {
  nlohmann::json json;
  Graft graft;
};
// Fails with document-not-usable or readings-not-edited: an edit that would not be kept is not acknowledged.
Stored<Candidate> usable_document(const nlohmann::json& json, const std::string& path);
nlohmann::json json_without_readings(const Graft& graft);
// Refuses figures and texts that no loom can have (loom/document_values.h), but for those that `before` has already.
Stored<bool> check_values(const Graft& after, const Graft* before, const std::string& path);

Stored<bool> check_stamp(const Stamp& stamp, const std::string& path);

}  // namespace loomgraft::store
