#include <fcntl.h>
#include <sqlite3.h>
#include <sys/vfs.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdio>
#include <ctime>
#include <set>
#include <utility>
#include <vector>

#include "store/file_log_internal.h"
#include "store/schema_internal.h"
#include "store/sha256.h"

namespace loomgraft::store {
namespace {

// ---- one page (sqlite.org/fileformat2.html, sections 1.6 and 2.1)

std::uint64_t big_endian(std::string_view bytes, std::size_t at, std::size_t count) {
  std::uint64_t value = 0;
  for (std::size_t i = 0; i < count; ++i) value = value << 8U | static_cast<unsigned char>(bytes[at + i]);
  return value;
}

// Reads within bounds; false in `fine` once something lay outside.
class PageReader {
 public:
  PageReader(std::string_view page, std::size_t at) : page_(page), at_(at) {}

  std::uint64_t varint() {
    std::uint64_t value = 0;
    for (int i = 0; i < 9; ++i) {
      if (at_ >= page_.size()) {
        fine = false;
        return 0;
      }
      const auto byte = static_cast<unsigned char>(page_[at_++]);
      if (i == 8) return value << 8U | byte;
      value = value << 7U | (byte & 0x7fU);
      if ((byte & 0x80U) == 0) return value;
    }
    return value;
  }
  void skip(std::uint64_t bytes) {
    if (bytes > page_.size() - at_) fine = false;
    if (fine) at_ += static_cast<std::size_t>(bytes);
  }
  std::size_t at() const { return at_; }

  bool fine = true;

 private:
  std::string_view page_;
  std::size_t at_;
};

std::uint64_t bytes_of_type(std::uint64_t type) {
  constexpr std::array<std::uint64_t, 12> bytes = {0, 1, 2, 3, 4, 6, 8, 8, 0, 0, 0, 0};
  return type < bytes.size() ? bytes[static_cast<std::size_t>(type)] : (type - 12) / 2;
}

// ---- the mark: three numbers and the beginning of their SHA-256

constexpr std::size_t mark_bytes = 32;

std::string blob_of(const LogMark& mark) {
  std::string text;
  for (const std::int64_t number : {mark.token, mark.based_on, mark.open}) {
    for (int shift = 56; shift >= 0; shift -= 8)
      text += static_cast<char>(static_cast<std::uint64_t>(number) >> shift & 0xffU);
  }
  return text + sha256_bytes(text).substr(0, 8);
}

std::optional<LogMark> mark_of(std::string_view blob) {
  if (blob.size() != mark_bytes) return std::nullopt;
  const LogMark mark{static_cast<std::int64_t>(big_endian(blob, 0, 8)),
                     static_cast<std::int64_t>(big_endian(blob, 8, 8)),
                     static_cast<std::int64_t>(big_endian(blob, 16, 8))};
  return blob_of(mark) == blob ? std::optional(mark) : std::nullopt;
}

// ---- the two files beside it (sections 3 and 4.1)

constexpr std::size_t log_head_bytes = 32;
constexpr std::size_t frame_head_bytes = 24;
constexpr std::uint64_t counter_page = 2;

class Bytes {
 public:
  explicit Bytes(const std::string& path) : descriptor_(::open(path.c_str(), O_RDONLY | O_CLOEXEC)) {}
  ~Bytes() {
    if (descriptor_ >= 0) ::close(descriptor_);
  }
  Bytes(const Bytes&) = delete;
  Bytes& operator=(const Bytes&) = delete;
  // Shorter at the end of the file.
  std::string read(std::uint64_t at, std::size_t count) const {
    std::string bytes(count, '\0');
    const ssize_t got = ::pread(descriptor_, bytes.data(), count, static_cast<off_t>(at));
    bytes.resize(got > 0 ? static_cast<std::size_t>(got) : 0);
    return bytes;
  }

 private:
  int descriptor_;
};

// Over words of four bytes in pairs (section 4.2).
class LogSum {
 public:
  explicit LogSum(bool big) : big_(big) {}
  void add(std::string_view bytes) {
    for (std::size_t at = 0; at + 8 <= bytes.size(); at += 8) {
      first_ += word(bytes, at) + second_;
      second_ += word(bytes, at + 4) + first_;
    }
  }
  bool is(std::string_view bytes, std::size_t at) const {
    return big_endian(bytes, at, 4) == first_ && big_endian(bytes, at + 4, 4) == second_;
  }

 private:
  std::uint32_t word(std::string_view bytes, std::size_t at) const {
    const auto value = static_cast<std::uint32_t>(big_endian(bytes, at, 4));
    return big_ ? value : __builtin_bswap32(value);
  }
  bool big_;
  std::uint32_t first_ = 0, second_ = 0;
};

// The marks of the log's committed entries, in order; `holds` says whether SQLite finds any entries in it.
std::vector<LogMark> marks_in_log(const std::string& path, bool& holds) {
  const Bytes log(path);
  const std::string head = log.read(0, log_head_bytes);
  std::vector<LogMark> marks, pending;
  holds = false;
  if (head.size() < log_head_bytes || big_endian(head, 8, 4) != page_bytes) return marks;
  LogSum sum((static_cast<unsigned char>(head[3]) & 1U) != 0);
  sum.add(std::string_view(head).substr(0, 24));
  if (!sum.is(head, 24)) return marks;
  const std::string salts = head.substr(16, 8);
  for (std::uint64_t at = log_head_bytes;; at += frame_head_bytes + page_bytes) {
    const std::string frame = log.read(at, frame_head_bytes + page_bytes);
    if (frame.size() < frame_head_bytes + page_bytes || frame.substr(8, 8) != salts) return marks;
    const std::string_view page = std::string_view(frame).substr(frame_head_bytes);
    sum.add(std::string_view(frame).substr(0, 8));
    sum.add(page);
    if (!sum.is(frame, 16)) return marks;
    const auto mark = big_endian(frame, 0, 4) == counter_page ? mark_in_page(page) : std::nullopt;
    if (mark) pending.push_back(*mark);
    if (big_endian(frame, 4, 4) == 0) continue;  // not the last page of its transaction
    holds = true;
    marks.insert(marks.end(), pending.begin(), pending.end());
    pending.clear();
  }
}

bool is_own_log(const std::string& path, const LogMark& file, bool& holds) {
  const std::vector<LogMark> marks = marks_in_log(path, holds);
  if (!holds) return true;  // SQLite takes nothing from it
  if (marks.empty()) return false;
  std::set<std::int64_t> tokens{marks.front().based_on};
  for (const LogMark& mark : marks) tokens.insert(mark.token);
  return tokens.contains(file.token);
}

// The first page without what every write changes: how it is written, and how often (section 1.3).
std::string without_counters(std::string page) {
  if (page.size() < 100) return {};
  for (const auto& [from, to] : {std::pair<std::ptrdiff_t, std::ptrdiff_t>{18, 20}, {24, 28}, {92, 100}})
    std::fill(page.begin() + from, page.begin() + to, '\0');
  return page;
}

// A journal holds pages as they were. It is the file's own if the counter in it is the one that the file has, or had
// before the transaction that was not completed.
bool is_own_journal(const std::string& path, const LogMark& file, const std::string& first) {
  const Bytes journal(path);
  const std::string head = journal.read(0, 28);
  if (head.size() < 28 || head.substr(0, 8) != "\xd9\xd5\x05\xf9\x20\xa1\x63\xd7")
    return true;  // SQLite ignores it
  std::string first_page;
  // How many records are known to be on the disk; while it is 0 nothing of the file was overwritten.
  const std::uint64_t count = big_endian(head, 8, 4);
  if (count == 0) return true;
  std::uint64_t at = big_endian(head, 20, 4);  // the head takes a sector
  for (std::uint64_t i = 0; i < count; ++i, at += 8 + page_bytes) {
    const std::string record = journal.read(at, 4 + page_bytes);
    if (record.size() < 4 + page_bytes) return false;
    if (big_endian(record, 0, 4) == 1) first_page = record.substr(4);
    if (big_endian(record, 0, 4) != counter_page) continue;
    const auto mark = mark_in_page(std::string_view(record).substr(4));
    return mark && (mark->token == file.token || mark->token == file.based_on);
  }
  // Turning the log on or off changes nothing but the first page.
  return count == 1 && without_counters(first_page) == without_counters(first);
}

sqlite3_file* file_of(SQLite::Database& database) {
  sqlite3_file* file = nullptr;
  sqlite3_file_control(database.getHandle(), "main", SQLITE_FCNTL_FILE_POINTER, &file);
  return file != nullptr && file->pMethods != nullptr ? file : nullptr;
}

std::string raw_page(SQLite::Database& database, std::uint64_t number) {
  const std::uint64_t at = (number - 1) * page_bytes;
  sqlite3_file* const file = file_of(database);
  std::string page(page_bytes, '\0');
  if (file == nullptr) return {};
  const int status = file->pMethods->xRead(file, page.data(), page_bytes, static_cast<sqlite3_int64>(at));
  return status == SQLITE_OK ? page : std::string();
}

// SQLite's own lock: while it is held, no connection of any process has the file open for reading or writing.
class ExclusiveLock {
 public:
  explicit ExclusiveLock(sqlite3_file* file) : file_(file) {
    for (const int level : {SQLITE_LOCK_SHARED, SQLITE_LOCK_RESERVED, SQLITE_LOCK_EXCLUSIVE})
      held = held && file_->pMethods->xLock(file_, level) == SQLITE_OK;
  }
  ~ExclusiveLock() { file_->pMethods->xUnlock(file_, SQLITE_LOCK_NONE); }
  ExclusiveLock(const ExclusiveLock&) = delete;
  ExclusiveLock& operator=(const ExclusiveLock&) = delete;
  bool held = true;

 private:
  sqlite3_file* file_;
};

struct stat info_of(const std::string& path) {
  struct stat info {};
  if (::stat(path.c_str(), &info) != 0) info = {};
  return info;
}

bool rename_to_free_name(const std::string& from, const std::string& to) {
  if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0) return true;
  // A file system that cannot refuse to replace.
  return errno == EINVAL && info_of(to).st_ino == 0 && std::rename(from.c_str(), to.c_str()) == 0;
}

// The new name; none where it cannot be renamed.
std::optional<std::string> move_aside(const std::string& path, const char* part, const char* word) {
  const std::time_t changed = info_of(path + part).st_mtim.tv_sec;
  std::tm time{};
  gmtime_r(&changed, &time);
  std::array<char, 32> text{};
  std::strftime(text.data(), text.size(), "%Y-%m-%dT%H-%M-%S", &time);
  const std::string name = path + word + text.data();
  for (int number = 1; number < 100; ++number) {
    const std::string to = number == 1 ? name : name + "-" + std::to_string(number);
    if (rename_to_free_name(path + part, to)) return to;
    if (errno != EEXIST && errno != EINVAL) return std::nullopt;
  }
  return std::nullopt;
}

void clear_part(const std::string& path, const char* part, Beside& beside) {
  const bool log = part == std::string_view("-wal");
  beside.strange = true;
  auto moved = move_aside(path, part, log ? ".log-" : ".journal-");
  beside.strange_remains = beside.strange_remains || !moved;
  if (!moved) return;
  beside.moved.push_back(std::move(*moved));
  if (log) ::unlink((path + "-shm").c_str());  // an index, which holds nothing of its own
}

void judge_and_clear(SQLite::Database& database, const std::string& path, Beside& beside) {
  const std::string first = raw_page(database, 1);
  const auto mark = mark_in_file(database);
  // A file that is damaged at this place is judged by nobody; its log may be what saves it.
  if (first.size() < 100) return;
  if (!mark) {
    marks_in_log(path + "-wal", beside.log_holds);
    return;
  }
  const struct stat log = info_of(path + "-wal");
  const bool own_log = log.st_size == 0 || is_own_log(path + "-wal", *mark, beside.log_holds);
  // Killed between the mark and the first entry leaves an empty log beside the very file that was marked.
  const bool just_marked =
      log.st_ino != 0 && own_log && mark->open == static_cast<std::int64_t>(info_of(path).st_ino);
  beside.log_holds = beside.log_holds && own_log;
  beside.incomplete = mark->open != 0 && !beside.log_holds && !just_marked;
  if (!own_log) clear_part(path, "-wal", beside);
  if (info_of(path + "-journal").st_size > 0 && !is_own_journal(path + "-journal", *mark, first))
    clear_part(path, "-journal", beside);
}

}  // namespace

std::optional<LogMark> mark_in_page(std::string_view page) {
  constexpr char leaf_of_a_table = 13;
  if (page.size() < page_bytes || page[0] != leaf_of_a_table || big_endian(page, 3, 2) != 1)
    return std::nullopt;
  PageReader cell(page, static_cast<std::size_t>(big_endian(page, 8, 2)));
  cell.varint();  // bytes of the row
  cell.varint();  // its key
  const std::size_t start = cell.at();
  const std::uint64_t head_bytes = cell.varint();
  std::vector<std::uint64_t> types;
  while (cell.fine && cell.at() < start + head_bytes) types.push_back(cell.varint());
  constexpr std::size_t columns_before = 5, columns = 7;
  if (!cell.fine || (types.size() != 2 && types.size() != columns)) return std::nullopt;
  if (types.size() == 2) return LogMark{};
  for (std::size_t i = 0; i < columns_before; ++i) cell.skip(bytes_of_type(types[i]));
  if (!cell.fine || bytes_of_type(types[columns_before]) != mark_bytes) return std::nullopt;
  return mark_of(page.substr(std::min(cell.at(), page.size()), mark_bytes));
}

LogMark read_mark(SQLite::Database& database) {
  SQLite::Statement select(database, "SELECT mark FROM counter");
  if (!select.executeStep()) return {};
  return mark_of(select.getColumn(0).getString()).value_or(LogMark{});
}

void write_mark(SQLite::Database& database, const LogMark& mark) {
  SQLite::Statement update(database, "UPDATE counter SET mark = ?");
  const std::string blob = blob_of(mark);
  update.bind(1, blob.data(), static_cast<int>(blob.size()));
  update.exec();
}

LogMark next_mark(const LogMark& mark, std::int64_t open) {
  LogMark next{0, mark.token, open};
  sqlite3_randomness(sizeof next.token, &next.token);
  return next;
}

std::uint64_t bytes_in_file(SQLite::Database& database) {
  const std::string page = raw_page(database, 1);
  return page.empty() ? 0 : big_endian(page, 28, 4) * page_bytes;  // section 1.3.8
}

std::optional<LogMark> mark_in_file(SQLite::Database& database) {
  return mark_in_page(raw_page(database, counter_page));
}

Beside clear_beside(const std::string& path) {
  Beside beside;
  if (::access(path.c_str(), W_OK) != 0) {
    SQLite::Database database(path, SQLite::OPEN_READONLY);
    judge_and_clear(database, path, beside);
    return beside;
  }
  SQLite::Database database(path, SQLite::OPEN_READWRITE);
  sqlite3_file* const file = file_of(database);
  if (file == nullptr) return beside;
  const ExclusiveLock lock(file);
  beside.in_use = !lock.held;
  if (lock.held) judge_and_clear(database, path, beside);
  return beside;
}

std::vector<std::string> clear_for_new(const std::string& path) {
  Beside beside;
  if (info_of(path + "-wal").st_size > 0) clear_part(path, "-wal", beside);
  if (info_of(path + "-journal").st_size > 0) clear_part(path, "-journal", beside);
  for (const char* part : {"-wal", "-shm", "-journal"}) {
    if (info_of(path + part).st_size == 0) ::unlink((path + part).c_str());
  }
  if (info_of(path).st_ino == 0) ::unlink((path + "-shm").c_str());
  return beside.moved;
}

// ---- NamedFiles

NamedFiles::Named NamedFiles::look(const std::string& name) {
  struct stat info {};
  if (::stat(name.c_str(), &info) != 0) return {};
  return {info.st_dev, info.st_ino, static_cast<std::uint64_t>(info.st_size)};
}

NamedFiles::NamedFiles(std::string path, bool with_log)
    : path_(std::move(path)), with_log_(with_log), file_(look(path_)) {
  if (!with_log_) return;
  log_ = look(path_ + "-wal");
  index_ = look(path_ + "-shm");
  log_bytes_ = log_.bytes;
}

bool NamedFiles::same(Named& known, const std::string& name) {
  const Named now = look(name);
  if (now.inode == 0 || now.inode != known.inode || now.device != known.device) return false;
  known.bytes = std::max(known.bytes, now.bytes);
  return now.bytes == known.bytes || &known != &file_;
}

bool NamedFiles::unchanged() {
  if (!same(file_, path_)) return false;
  if (!with_log_) return true;
  log_.bytes = 0;  // it becomes shorter whenever it is emptied
  const bool fine = same(log_, path_ + "-wal") && same(index_, path_ + "-shm");
  log_bytes_ = log_.bytes;
  return fine;
}

std::string network_kind(const std::string& path) {
  struct Kind {
    std::uint32_t magic;
    const char* name;
  };
  // statfs(2), linux/magic.h
  constexpr Kind kinds[] = {{0x6969, "NFS"},       {0x517B, "SMB"},      {0xFF534D42, "SMB"},
                            {0xFE534D42, "SMB"},   {0x65735546, "FUSE"}, {0x01021997, "9P"},
                            {0x5346414F, "AFS"},   {0x00C36400, "Ceph"}, {0x73757245, "Coda"},
                            {0x7461636f, "OCFS2"}, {0x01161970, "GFS2"}};
  struct statfs info {};
  if (::statfs(path.c_str(), &info) != 0) return {};
  for (const Kind& kind : kinds) {
    if (static_cast<std::uint32_t>(info.f_type) == kind.magic) return kind.name;
  }
  return {};
}

}  // namespace loomgraft::store
