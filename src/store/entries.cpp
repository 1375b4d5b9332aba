// Readings and ticks: appended and never edited.
#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "loom/graft_json.h"
#include "store/entry_chain_internal.h"
#include "store/entry_checks_internal.h"
#include "store/graft_file_internal.h"

namespace loomgraft {

using namespace store;

namespace {

// From a sender every reading needs an id of its own, or a resend could not be told from a second reading.
// From a document all are kept as they are: those without an id of their own get none in the column.
enum class Origin { sender, document };

bool usable_reading(const Reading& reading, Origin origin) {
  if ((reading.id.empty() && origin == Origin::sender) || !std::isfinite(reading.value)) return false;
  const auto texts = {&reading.id, &reading.test, &reading.unit, &reading.author, &reading.time};
  return std::all_of(texts.begin(), texts.end(), [](const std::string* text) { return usable_text(*text); });
}

// As it stands in the document's list, so that no member can be forgotten here.
std::string body_of(const Reading& reading) {
  Graft graft;
  graft.readings = {reading};
  return to_json(graft)["readings"][0].dump();
}

std::string document_of(const std::string& bodies) {
  return "{\"format\":\"loomgraft\",\"version\":" + std::to_string(graft_format_version) + ",\"readings\":[" +
         bodies + "]}";
}

// Earlier versions stored and sent readings without the marks.
bool same_apart_from_marks(const std::string& body, Reading reading) {
  const GraftReading stored = graft_from_json(document_of(body), "");
  if (!stored.graft || stored.graft->readings.size() != 1) return false;
  reading.practice = stored.graft->readings[0].practice;
  reading.in_band_only = stored.graft->readings[0].in_band_only;
  return reading == stored.graft->readings[0];
}

class ReadingWriter {
 public:
  ReadingWriter(SQLite::Database& database, const std::string& path, Origin origin)
      : path_(path),
        origin_(origin),
        chain_(database),
        find_(database, "SELECT seq, body FROM readings WHERE id = ?"),
        insert_(database, "INSERT INTO readings (seq, id, body, hash) VALUES (?, ?, ?, ?)") {}

  Stored<Appended> write(const Reading& reading) {
    if (!usable_reading(reading, origin_)) return refuse(unusable_entry(path_, "a reading"));
    const std::string body = body_of(reading);
    find_.reset();
    find_.bindNoCopy(1, reading.id);
    const bool taken = find_.executeStep();
    if (taken && origin_ == Origin::sender) {
      const std::string stored = find_.getColumn(1).getString();
      if (stored != body && !same_apart_from_marks(stored, reading))
        return refuse(id_taken(path_, reading.id));
      return Appended{find_.getColumn(0).getInt64(), true};
    }
    const std::int64_t seq = chain_.next();
    const bool without_id = taken || reading.id.empty();
    const std::string hash = chain_.link(EntryKind::reading, {without_id ? "" : reading.id, body});
    insert_.reset();
    insert_.bind(1, seq);
    if (without_id) {
      insert_.bind(2);
    } else {
      insert_.bindNoCopy(2, reading.id);
    }
    insert_.bindNoCopy(3, body);
    insert_.bind(4, hash.data(), static_cast<int>(hash.size()));
    insert_.exec();
    return Appended{seq, false};
  }

  void finish() {
    find_.reset();
    chain_.finish();
  }

 private:
  const std::string& path_;
  Origin origin_;
  ChainWriter chain_;
  SQLite::Statement find_;
  SQLite::Statement insert_;
};

Tick tick_of(SQLite::Statement& row) {
  return {row.getColumn(0).getString(), row.getColumn(1).getString(), row.getColumn(2).getInt() != 0,
          row.getColumn(3).getString(), row.getColumn(4).getString()};
}

Stored<std::vector<Tick>> select_ticks(SQLite::Database& database, const char* condition) {
  SQLite::Statement select(database,
                           std::string("SELECT id, subject, done, author, time FROM ticks ") + condition);
  std::vector<Tick> ticks;
  while (select.executeStep()) ticks.push_back(tick_of(select));
  return ticks;
}

}  // namespace

// ---- readings

Stored<std::vector<Stored<Appended>>> GraftFile::append(const std::vector<Reading>& readings) {
  return inner_->with_write_lock([&]() -> Stored<std::vector<Stored<Appended>>> {
    ReadingWriter writer(*inner_->database, inner_->path, Origin::sender);
    std::vector<Stored<Appended>> answers;
    answers.reserve(readings.size());
    for (const Reading& reading : readings) answers.push_back(writer.write(reading));
    writer.finish();
    return answers;
  });
}

namespace store {

std::int64_t write_tick(SQLite::Database& database, const Tick& tick) {
  ChainWriter chain(database);
  const std::int64_t seq = chain.next();
  const std::string hash =
      chain.link(EntryKind::tick, {tick.id, tick.subject, tick.done ? "1" : "0", tick.author, tick.time});
  SQLite::Statement insert(
      database,
      "INSERT INTO ticks (seq, id, subject, done, author, time, hash) VALUES (?, ?, ?, ?, ?, ?, ?)");
  SQLite::bind(insert, seq, tick.id, tick.subject, tick.done ? 1 : 0, tick.author, tick.time);
  insert.bind(7, hash.data(), static_cast<int>(hash.size()));
  insert.exec();
  chain.finish();
  return seq;
}

Stored<bool> add_readings(SQLite::Database& database, const std::string& path,
                          const std::vector<Reading>& readings) {
  ReadingWriter writer(database, path, Origin::document);
  for (const Reading& reading : readings_of(readings, false)) {
    auto written = writer.write(reading);
    if (!written) return tl::unexpected(std::move(written.error()));
  }
  writer.finish();
  return true;
}

}  // namespace store

Stored<Appended> GraftFile::append(const Reading& reading) {
  auto answers = append(std::vector<Reading>{reading});
  if (!answers) return tl::unexpected(std::move(answers.error()));
  return std::move(answers->front());
}

Stored<std::vector<Reading>> GraftFile::Inner::readings_since(std::int64_t sequence) {
  SQLite::Statement select(*database, "SELECT body FROM readings WHERE seq > ? ORDER BY seq");
  select.bind(1, sequence);
  std::string bodies;
  while (select.executeStep()) bodies += (bodies.empty() ? "" : ",") + select.getColumn(0).getString();
  GraftReading reading = graft_from_json(document_of(bodies), path);
  if (!reading.graft || !reading.problems.empty()) return refuse(damaged(path, "a reading cannot be read"));
  // Earlier versions kept what the practice meter showed; nothing of it was measured.
  return readings_of(reading.graft->readings, false);
}

Stored<std::vector<Reading>> GraftFile::readings() {
  return readings_since(0);
}

Stored<std::vector<Reading>> GraftFile::readings_since(std::int64_t sequence) {
  return inner_->with_lock([&] { return inner_->readings_since(sequence); });
}

// ---- ticks

Stored<Appended> GraftFile::append(const Tick& tick) {
  return inner_->with_write_lock([&]() -> Stored<Appended> {
    const auto texts = {&tick.id, &tick.subject, &tick.author, &tick.time};
    const bool fine =
        !tick.id.empty() && !tick.subject.empty() &&
        std::all_of(texts.begin(), texts.end(), [](const std::string* text) { return usable_text(*text); });
    if (!fine) return refuse(unusable_entry(inner_->path, "a tick"));
    SQLite::Statement find(*inner_->database,
                           "SELECT id, subject, done, author, time, seq FROM ticks WHERE id = ?");
    find.bind(1, tick.id);
    if (find.executeStep()) {
      if (!(tick_of(find) == tick)) return refuse(id_taken(inner_->path, tick.id));
      return Appended{find.getColumn(5).getInt64(), true};
    }
    return Appended{write_tick(*inner_->database, tick), false};
  });
}

Stored<std::vector<Tick>> GraftFile::ticks() {
  return inner_->with_lock([&] {
    return select_ticks(*inner_->database,
                        "WHERE seq IN (SELECT max(seq) FROM ticks WHERE substr(id, 1, 8) <> 'removed:' "
                        "GROUP BY subject) ORDER BY subject");
  });
}

Stored<std::vector<Tick>> GraftFile::all_ticks() {
  return inner_->with_lock([&] { return select_ticks(*inner_->database, "ORDER BY seq"); });
}

}  // namespace loomgraft
