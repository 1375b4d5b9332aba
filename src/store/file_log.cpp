#include <fcntl.h>
#include <sqlite3.h>
#include <sys/vfs.h>
#include <unistd.h>

#include <array>
#include <cstdio>
#include <ctime>
#include <set>
#include <vector>

#include "store/file_log_internal.h"
#include "store/schema_internal.h"

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
  // A whole number of `bytes` bytes with its sign.
  std::int64_t number(std::size_t bytes) {
    if (bytes == 0 || at_ + bytes > page_.size()) {
      fine = fine && bytes == 0;
      return 0;
    }
    std::uint64_t value = big_endian(page_, at_, bytes);
    if (bytes < 8 && (value >> (8 * bytes - 1) & 1U) != 0) value |= ~std::uint64_t{0} << (8 * bytes);
    at_ += bytes;
    return static_cast<std::int64_t>(value);
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

std::int64_t value_of(PageReader& reader, std::uint64_t type) {
  constexpr std::array<std::size_t, 7> bytes = {0, 1, 2, 3, 4, 6, 8};
  if (type < bytes.size()) return reader.number(bytes[static_cast<std::size_t>(type)]);
  if (type == 8 || type == 9) return static_cast<std::int64_t>(type) - 8;
  reader.skip(type >= 12 ? (type - 12) / 2 : 8);
  return 0;
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

// The marks of the log's committed entries, in order; none where it holds none that count.
std::vector<LogMark> marks_in_log(const std::string& path, bool& holds) {
  const Bytes log(path);
  const std::string head = log.read(0, log_head_bytes);
  std::vector<LogMark> marks, pending;
  holds = false;
  if (head.size() < log_head_bytes || big_endian(head, 8, 4) != page_bytes) return marks;
  const std::string salts = head.substr(16, 8);
  for (std::uint64_t at = log_head_bytes;; at += frame_head_bytes + page_bytes) {
    const std::string frame = log.read(at, frame_head_bytes);
    if (frame.size() < frame_head_bytes || frame.substr(8, 8) != salts) return marks;
    if (big_endian(frame, 0, 4) == counter_page) {
      if (const auto mark = mark_in_page(log.read(at + frame_head_bytes, page_bytes)))
        pending.push_back(*mark);
    }
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

// A journal holds pages as they were. It is the file's own if the counter in it is the one that the file has, or had
// before the transaction that was not completed.
bool is_own_journal(const std::string& path, const LogMark& file) {
  const Bytes journal(path);
  const std::string head = journal.read(0, 28);
  if (head.size() < 28 || head.substr(0, 8) != "\xd9\xd5\x05\xf9\x20\xa1\x63\xd7")
    return true;  // SQLite ignores it
  const std::uint64_t sector = big_endian(head, 20, 4);
  for (std::uint64_t at = sector;; at += 8 + page_bytes) {
    const std::string record = journal.read(at, 4 + page_bytes);
    if (record.size() < 4 + page_bytes) return false;
    if (big_endian(record, 0, 4) != counter_page) continue;
    const auto mark = mark_in_page(std::string_view(record).substr(4));
    return mark && (mark->token == file.token || mark->token == file.based_on);
  }
}

sqlite3_file* file_of(SQLite::Database& database) {
  sqlite3_file* file = nullptr;
  sqlite3_file_control(database.getHandle(), "main", SQLITE_FCNTL_FILE_POINTER, &file);
  return file != nullptr && file->pMethods != nullptr ? file : nullptr;
}

std::string raw_page(SQLite::Database& database, std::uint64_t number) {
  sqlite3_file* const file = file_of(database);
  std::string page(page_bytes, '\0');
  if (file == nullptr) return {};
  const int status = file->pMethods->xRead(file, page.data(), page_bytes,
                                           static_cast<sqlite3_int64>((number - 1) * page_bytes));
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
  if (first.size() < 100 || !mark) return;
  const struct stat log = info_of(path + "-wal");
  const bool own_log = log.st_size == 0 || is_own_log(path + "-wal", *mark, beside.log_holds);
  // Killed between the mark and the first entry leaves an empty log beside the very file that was marked.
  const bool just_marked =
      log.st_ino != 0 && own_log && mark->open == static_cast<std::int64_t>(info_of(path).st_ino);
  beside.log_holds = beside.log_holds && own_log;
  beside.incomplete = mark->open != 0 && !beside.log_holds && !just_marked;
  if (!own_log) clear_part(path, "-wal", beside);
  // Byte 18: 2 where the file is written through a log (section 1.3.3); then no journal is its own.
  const bool with_log = first[18] == 2;
  if (info_of(path + "-journal").st_size > 0 && (with_log || !is_own_journal(path + "-journal", *mark)))
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
  if (!cell.fine || (types.size() != 2 && types.size() != 9)) return std::nullopt;
  std::vector<std::int64_t> values;
  values.reserve(types.size());
  for (const std::uint64_t type : types) values.push_back(value_of(cell, type));
  if (!cell.fine) return std::nullopt;
  if (values.size() == 2) return LogMark{};
  return LogMark{values[5], values[6], values[7]};
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
  known.bytes = now.bytes;
  return true;
}

bool NamedFiles::unchanged() {
  const std::uint64_t bytes = file_.bytes;
  if (!same(file_, path_) || file_.bytes < bytes) return false;
  if (!with_log_) return true;
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
