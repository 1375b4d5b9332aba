#include "tests/store/faulty_vfs.h"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <memory>

namespace loomgraft {
namespace {

FaultyVfs* current = nullptr;

struct FaultyFile {
  sqlite3_file base;  // first: SQLite knows the file by it
  sqlite3_file* real;
  FaultyVfs::Disk* disk;
};

FaultyFile& of(sqlite3_file* file) {
  return *reinterpret_cast<FaultyFile*>(file);
}
sqlite3_file* real_of(sqlite3_file* file) {
  return of(file).real;
}

void apply(std::string& bytes, const FaultyVfs::Change& change) {
  const auto at = static_cast<std::size_t>(change.at);
  if (change.truncates) {
    bytes.resize(std::min(bytes.size(), at));
    return;
  }
  if (bytes.size() < at + change.bytes.size()) bytes.resize(at + change.bytes.size(), '\0');
  std::copy(change.bytes.begin(), change.bytes.end(), bytes.begin() + change.at);
}

int close_file(sqlite3_file* file) {
  const int status = real_of(file)->pMethods->xClose(real_of(file));
  sqlite3_free(real_of(file));
  return status;
}
int read_file(sqlite3_file* file, void* to, int bytes, sqlite3_int64 at) {
  return real_of(file)->pMethods->xRead(real_of(file), to, bytes, at);
}
int write_file(sqlite3_file* file, const void* from, int bytes, sqlite3_int64 at) {
  bool half = false;
  const int status = current->before_change(false, half);
  if (status != SQLITE_OK && !half) return status;
  const int count = half ? bytes / 2 : bytes;
  of(file).disk->pending.push_back(
      {at, std::string(static_cast<const char*>(from), static_cast<std::size_t>(count))});
  const int done = real_of(file)->pMethods->xWrite(real_of(file), from, count, at);
  return status == SQLITE_OK ? done : status;
}
int truncate_file(sqlite3_file* file, sqlite3_int64 size) {
  bool half = false;
  if (const int status = current->before_change(false, half); status != SQLITE_OK) return status;
  of(file).disk->pending.push_back({size, {}, true});
  return real_of(file)->pMethods->xTruncate(real_of(file), size);
}
int sync_file(sqlite3_file* file, int flags) {
  bool half = false;
  if (const int status = current->before_change(true, half); status != SQLITE_OK) return status;
  FaultyVfs::Disk& disk = *of(file).disk;
  for (const FaultyVfs::Change& change : disk.pending) apply(disk.safe, change);
  disk.pending.clear();
  disk.there = true;
  return real_of(file)->pMethods->xSync(real_of(file), flags);
}
int size_of_file(sqlite3_file* file, sqlite3_int64* size) {
  return real_of(file)->pMethods->xFileSize(real_of(file), size);
}
int lock_file(sqlite3_file* file, int level) {
  return real_of(file)->pMethods->xLock(real_of(file), level);
}
int unlock_file(sqlite3_file* file, int level) {
  return real_of(file)->pMethods->xUnlock(real_of(file), level);
}
int check_lock(sqlite3_file* file, int* reserved) {
  return real_of(file)->pMethods->xCheckReservedLock(real_of(file), reserved);
}
int control_file(sqlite3_file* file, int what, void* argument) {
  return real_of(file)->pMethods->xFileControl(real_of(file), what, argument);
}
int sector_size(sqlite3_file*) {
  return 512;
}
// A disk that promises nothing.
int characteristics(sqlite3_file*) {
  return 0;
}
int map_index(sqlite3_file* file, int page, int bytes, int extend, void volatile** at) {
  return real_of(file)->pMethods->xShmMap(real_of(file), page, bytes, extend, at);
}
int lock_index(sqlite3_file* file, int at, int count, int flags) {
  return real_of(file)->pMethods->xShmLock(real_of(file), at, count, flags);
}
void index_barrier(sqlite3_file* file) {
  real_of(file)->pMethods->xShmBarrier(real_of(file));
}
int unmap_index(sqlite3_file* file, int remove) {
  return real_of(file)->pMethods->xShmUnmap(real_of(file), remove);
}

const sqlite3_io_methods methods = {
    2,          close_file,    read_file,   write_file,   truncate_file, sync_file,       size_of_file,
    lock_file,  unlock_file,   check_lock,  control_file, sector_size,   characteristics, map_index,
    lock_index, index_barrier, unmap_index, nullptr,      nullptr};

std::string content_of(const std::string& name) {
  std::ifstream in(name, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

int open_file(sqlite3_vfs*, const char* name, sqlite3_file* file, int flags, int* out_flags) {
  FaultyFile& faulty = of(file);
  faulty.base.pMethods = nullptr;
  sqlite3_vfs* const real = current->real();
  const bool was_there = name != nullptr && std::filesystem::exists(name);
  faulty.real = static_cast<sqlite3_file*>(sqlite3_malloc(real->szOsFile));
  std::fill_n(reinterpret_cast<char*>(faulty.real), real->szOsFile, '\0');
  const int status = real->xOpen(real, name, faulty.real, flags, out_flags);
  if (status != SQLITE_OK) {
    sqlite3_free(faulty.real);
    return status;
  }
  FaultyVfs::Disk& disk = current->disk(name == nullptr ? "" : name);
  if (!disk.there && disk.pending.empty() && was_there) {
    disk.safe = content_of(name);
    disk.there = true;
  }
  faulty.disk = &disk;
  faulty.base.pMethods = &methods;
  return SQLITE_OK;
}

int delete_file(sqlite3_vfs*, const char* name, int sync_folder) {
  if (current->power_is_off()) return SQLITE_IOERR_DELETE;
  FaultyVfs::Disk& disk = current->disk(name);
  disk = {};
  return current->real()->xDelete(current->real(), name, sync_folder);
}

}  // namespace

FaultyVfs::FaultyVfs() : real_(sqlite3_vfs_find(nullptr)) {
  vfs_ = *real_;
  vfs_.pNext = nullptr;
  vfs_.zName = "faulty";
  vfs_.szOsFile = sizeof(FaultyFile);
  vfs_.xOpen = open_file;
  vfs_.xDelete = delete_file;
  current = this;
  sqlite3_vfs_register(&vfs_, 1);
}

FaultyVfs::~FaultyVfs() {
  sqlite3_vfs_unregister(&vfs_);
  sqlite3_vfs_register(real_, 1);
  current = nullptr;
}

void FaultyVfs::arm(Fault fault, int at, unsigned seed) {
  fault_ = fault;
  at_ = at;
  count_ = 0;
  off_ = full_ = false;
  disks_.clear();
  random_.seed(seed);
}

int FaultyVfs::before_change(bool sync, bool& half) {
  if (off_) return sync ? SQLITE_IOERR_FSYNC : SQLITE_IOERR_WRITE;
  if (full_ && !sync) return SQLITE_FULL;
  if (++count_ != at_) return SQLITE_OK;
  switch (fault_) {
    case Fault::none:
      return SQLITE_OK;
    case Fault::error:
      return sync ? SQLITE_IOERR_FSYNC : SQLITE_IOERR_WRITE;
    case Fault::full:
      full_ = true;
      return sync ? SQLITE_OK : SQLITE_FULL;
    case Fault::torn:
      half = !sync;
      break;
    case Fault::power_loss:
      break;
  }
  off_ = true;
  return sync ? SQLITE_IOERR_FSYNC : SQLITE_IOERR_WRITE;
}

void FaultyVfs::leave_what_is_left() {
  constexpr std::size_t sector = 512;
  for (auto& [name, disk] : disks_) {
    if (name.empty() || name.ends_with("-shm")) continue;
    std::error_code ignored;
    if (!disk.there && random_() % 2 == 0) {  // its folder's entry was never synced
      std::filesystem::remove(name, ignored);
      continue;
    }
    std::vector<Change> parts;
    for (const Change& change : disk.pending) {
      if (change.truncates) parts.push_back(change);
      for (std::size_t at = 0; at < change.bytes.size(); at += sector)
        parts.push_back({change.at + static_cast<std::int64_t>(at), change.bytes.substr(at, sector)});
    }
    std::shuffle(parts.begin(), parts.end(), random_);
    for (const Change& part : parts) {
      if (random_() % 2 == 0) apply(disk.safe, part);
    }
    // The same file, for what it is known by lasts.
    std::ofstream(name, std::ios::binary | std::ios::trunc) << disk.safe;
    if (name.ends_with("-wal")) std::filesystem::remove(name.substr(0, name.size() - 4) + "-shm", ignored);
  }
}

}  // namespace loomgraft
