#include "store/copies.h"

#include <unistd.h>

#include <algorithm>
#include <charconv>
#include <chrono>
#include <filesystem>
#include <set>

#include "store/entry_chain_internal.h"
#include "store/entry_checks_internal.h"
#include "store/graft_file_internal.h"
#include "store/sha256.h"

namespace loomgraft {

using namespace store;

namespace fs = std::filesystem;

namespace {

constexpr std::string_view ending = ".graft";
constexpr std::string_view time_form = "0000-00-00T00-00-00Z";

// ---- making one

std::string first_wrong_photo(SQLite::Database& database) {
  SQLite::Statement select(database, "SELECT id, sha256, data FROM attachments WHERE length(data) > 0");
  while (select.executeStep()) {
    const SQLite::Column data = select.getColumn(2);
    const std::string_view bytes(static_cast<const char*>(data.getBlob()),
                                 static_cast<std::size_t>(data.getBytes()));
    if (sha256_hex(bytes) != select.getColumn(1).getString())
      return "photo \"" + select.getColumn(0).getString() + "\" is not what was sent";
  }
  return {};
}

std::string first_fault_of_all(SQLite::Database& database) {
  const std::string verdict = database.execAndGet("PRAGMA integrity_check(1)").getString();
  if (verdict != "ok") return verdict.substr(0, 200);
  std::string fault = has_hashes(database) ? first_fault(check_chain(database)) : std::string();
  return fault.empty() ? first_wrong_photo(database) : fault;
}

// Page by page in one step, hence of one moment. A copy is a file of its own: no log of the other one fits it.
void copy_pages(SQLite::Database& from, SQLite::Database& to) {
  sqlite3_backup* const copying = sqlite3_backup_init(to.getHandle(), "main", from.getHandle(), "main");
  if (copying == nullptr) throw SQLite::Exception(to.getHandle());
  sqlite3_backup_step(copying, -1);
  const int status = sqlite3_backup_finish(copying);
  if (status != SQLITE_OK) throw SQLite::Exception(to.getHandle(), status);
  to.exec("PRAGMA journal_mode = DELETE");
  to.exec("PRAGMA synchronous = FULL");
  if (has_hashes(to)) write_mark(to, next_mark({}, 0));
}

// A checked copy of the file under the unfinished name of `to`.
Stored<bool> copy_unfinished(const std::string& path, const std::string& to, std::int64_t at_least) {
  drop_unfinished(to);
  auto result = guarded(path, [&]() -> Stored<bool> {
    auto source = open_database(path, {.access = Access::read, .check = false});
    if (!source) return tl::unexpected(std::move(source.error()));
    SQLite::Database target(unfinished_name(to), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    copy_pages(*source->database, target);
    if (const std::string fault = first_fault_of_all(target); !fault.empty())
      return refuse(damaged(path, fault));
    if (at_least > 0 && has_hashes(target)) raise_sequence(target, at_least);
    return true;
  });
  if (!result) drop_unfinished(to);
  return result;
}

// ---- names and dates

bool has_form(std::string_view text, std::string_view form) {
  return text.size() == form.size() && std::equal(text.begin(), text.end(), form.begin(), [](char c, char f) {
           return f == '0' ? c >= '0' && c <= '9' : c == f;
         });
}

int number_at(std::string_view text, std::size_t at, std::size_t count) {
  int value = 0;
  std::from_chars(text.data() + at, text.data() + at + count, value);
  return value;
}

// Seconds of "2026-03-01T10:00:00Z" or the same with dashes; 0 for anything else.
std::int64_t seconds_of(std::string text) {
  std::replace(text.begin(), text.end(), ':', '-');
  if (!has_form(text, time_form)) return 0;
  using namespace std::chrono;
  const year_month_day day(year(number_at(text, 0, 4)), month(static_cast<unsigned>(number_at(text, 5, 2))),
                           std::chrono::day(static_cast<unsigned>(number_at(text, 8, 2))));
  if (!day.ok()) return 0;
  const std::int64_t days = sys_days(day).time_since_epoch().count();
  return days * 86'400 + std::int64_t{number_at(text, 11, 2)} * 3600 +
         std::int64_t{number_at(text, 14, 2)} * 60 + number_at(text, 17, 2);
}

// "2026-03-01T10-00-00Z" of "2026-03-01T10:00:00.123Z".
std::string time_in_name(const std::string& time) {
  std::string text = time.substr(0, 19) + "Z";
  std::replace(text.begin(), text.end(), ':', '-');
  return text;
}

std::optional<DatedCopy> copy_named(const std::string& name) {
  const std::size_t time_bytes = time_form.size();
  if (!std::string_view(name).ends_with(ending) || name.size() < time_bytes + 1 + ending.size() ||
      name[time_bytes] != '-' || seconds_of(name.substr(0, time_bytes)) == 0)
    return std::nullopt;
  DatedCopy copy;
  copy.name = name;
  copy.time = name.substr(0, time_bytes);
  copy.time[13] = copy.time[16] = ':';
  const char* const end = name.data() + name.size() - ending.size();
  const auto [at, error] = std::from_chars(name.data() + time_bytes + 1, end, copy.sequence);
  if (at != end || error != std::errc()) return std::nullopt;
  return copy;
}

Stored<std::int64_t> sequence_of(const std::string& path) {
  auto file = GraftFile::open(path, {.access = Access::read, .check = false});
  if (!file) return tl::unexpected(std::move(file.error()));
  return file->last_sequence();
}

Problem no_such_copy(const std::string& path, const std::string& name) {
  return store_problem(path, "not-found", "There is no copy \"" + name.substr(0, 100) + "\" of this graft.",
                       "Choose one from the list of copies.");
}

Problem no_folder(const std::string& folder) {
  return store_problem(folder, "not-written", "The folder for copies could not be made.",
                       "Check the permissions of the folder above it and the space left.");
}

// ---- putting one back

// While the lock on the old file is held nobody adds an entry that the copy of it lacks. Its log goes before the new
// file has the name: a log that is there afterwards is not taken for the new one's.
Stored<bool> take_place(const std::string& path) {
  for (const char* part : {"-wal", "-shm", "-journal"}) ::unlink((path + part).c_str());
  if (std::rename(unfinished_name(path).c_str(), path.c_str()) == 0) {
    sync_folder_of(path);
    return true;
  }
  drop_unfinished(path);
  return refuse(store_problem(path, "not-written", "The copy could not be put in its place.",
                              "Check the folder, its permissions and the space left, then try again."));
}

Stored<bool> put_over_unreadable(const std::string& copy, const std::string& path, const std::string& now) {
  auto made = copy_unfinished(copy, path, 0);
  if (!made) return made;
  for (const char* part : {"", "-wal", "-journal"}) {
    const std::string from = path + part;
    std::error_code failed;
    if (fs::exists(from, failed)) fs::rename(from, path + ".replaced-" + time_in_name(now) + part, failed);
    if (failed) {
      drop_unfinished(path);
      return refuse(store_problem(path, "not-written",
                                  "The damaged file could not be kept under another name.",
                                  "Rename it yourself, then try again."));
    }
  }
  return take_place(path);
}

}  // namespace

Stored<bool> GraftFile::copy_to(const std::string& to) {
  auto copied = copy_unfinished(path(), to, 0);
  if (!copied) return copied;
  return finish_file(to);
}

std::string copies_folder(const std::string& path) {
  const fs::path file(path);
  return (file.parent_path() / "backups" / file.stem()).string();
}

std::vector<DatedCopy> dated_copies(const std::string& path) {
  std::vector<DatedCopy> copies;
  std::error_code failed;
  for (fs::directory_iterator at(copies_folder(path), failed), end; !failed && at != end;
       at.increment(failed)) {
    auto copy = copy_named(at->path().filename().string());
    std::error_code unreadable;
    if (!copy || !at->is_regular_file(unreadable)) continue;
    copy->bytes = at->file_size(unreadable);
    copies.push_back(std::move(*copy));
  }
  std::sort(copies.begin(), copies.end(),
            [](const DatedCopy& a, const DatedCopy& b) { return a.name > b.name; });
  return copies;
}

Stored<std::string> path_of_copy(const std::string& path, const std::string& name) {
  const std::string found = copies_folder(path) + "/" + name;
  std::error_code failed;
  if (!copy_named(name) || !fs::is_regular_file(fs::symlink_status(found, failed)))
    return refuse(no_such_copy(path, name));
  return found;
}

std::vector<DatedCopy> copies_to_drop(const std::vector<DatedCopy>& newest_first, const std::string& now) {
  constexpr std::size_t always = 10;
  constexpr std::int64_t day = 86'400, days = 14, weeks = 8;
  const std::int64_t today = seconds_of(time_in_name(now)) / day;
  std::set<std::int64_t> days_kept, weeks_kept;
  std::vector<DatedCopy> drop;
  for (std::size_t i = 0; i < newest_first.size(); ++i) {
    const std::int64_t of_day = seconds_of(newest_first[i].time) / day;
    // In this order: one copy can be the last of its day and of its week.
    const bool last_of_day = days_kept.insert(of_day).second && today - of_day < days;
    const bool last_of_week = weeks_kept.insert(of_day / 7).second && today - of_day < 7 * weeks;
    if (i >= always && !last_of_day && !last_of_week) drop.push_back(newest_first[i]);
  }
  return drop;
}

Stored<DatedCopy> make_dated_copy(const std::string& path, const std::string& now) {
  if (!is_rfc3339(now) || seconds_of(time_in_name(now)) == 0)
    return refuse(unusable_entry(path, "a time of a copy"));
  const auto sequence = sequence_of(path);
  if (!sequence) return tl::unexpected(sequence.error());
  std::vector<DatedCopy> copies = dated_copies(path);
  if (!copies.empty() && copies.front().sequence == *sequence) return copies.front();
  std::error_code failed;
  fs::create_directories(copies_folder(path), failed);
  if (failed) return refuse(no_folder(copies_folder(path)));
  const std::string name = time_in_name(now) + "-" + std::to_string(*sequence) + std::string(ending);
  const std::string to = copies_folder(path) + "/" + name;
  auto copied = copy_unfinished(path, to, 0);
  if (copied) copied = finish_file(to);
  if (!copied) return tl::unexpected(std::move(copied.error()));
  copies = dated_copies(path);
  for (const DatedCopy& old : copies_to_drop(copies, now)) {
    if (old.name != name) fs::remove(copies_folder(path) + "/" + old.name, failed);
  }
  DatedCopy made = *copy_named(name);
  made.bytes = fs::file_size(to, failed);
  return made;
}

Stored<std::optional<DatedCopy>> make_copy_if_due(const std::string& path, const std::string& now) {
  constexpr std::uint64_t large = 100ULL << 20U;
  const std::vector<DatedCopy> copies = dated_copies(path);
  if (!copies.empty()) {
    const std::int64_t age = seconds_of(time_in_name(now)) - seconds_of(copies.front().time);
    // Of the future is a copy made while the clock was wrong; it does not keep others from being made.
    if (age >= 0 && age < (copies.front().bytes > large ? 3600 : 600)) return std::nullopt;
  }
  auto made = make_dated_copy(path, now);
  if (!made) return tl::unexpected(std::move(made.error()));
  if (!copies.empty() && copies.front().name == made->name) return std::nullopt;
  return std::optional<DatedCopy>(std::move(*made));
}

Stored<bool> put_back(const std::string& copy, const std::string& path, const std::string& now) {
  std::error_code failed;
  if (!fs::exists(fs::symlink_status(path, failed))) {
    auto made = copy_unfinished(copy, path, 0);
    return made ? finish_file(path) : made;
  }
  auto current = GraftFile::open(path);
  if (!current) return put_over_unreadable(copy, path, now);
  return current->give_way_to(copy, now);
}

Stored<bool> GraftFile::give_way_to(const std::string& copy, const std::string& now) {
  (void)settle();
  return inner_->with_lock([&]() -> Stored<bool> {
    Inner& inner = *inner_;
    const SQLite::Transaction nobody_else_writes(*inner.database, SQLite::TransactionBehavior::IMMEDIATE);
    if (!inner.is_in_place()) return refuse(inner.file_replaced());
    auto kept = make_dated_copy(inner.path, now);
    if (!kept) return tl::unexpected(std::move(kept.error()));
    auto made = copy_unfinished(copy, inner.path, last_number(*inner.database));
    if (!made) return made;
    inner.replaced = true;
    return take_place(inner.path);
  });
}

}  // namespace loomgraft
