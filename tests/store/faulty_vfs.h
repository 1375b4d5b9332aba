// A disk that fails: SQLite's files with faults at the n-th write or sync, and with the state that a power loss leaves.
//
// Model   what is written goes to the real file, and beside that is remembered as not yet on the disk until the file is
//         synced. A power loss keeps of it any part, in any order, single sectors of a write too.
// Needs   one test at a time; files in memory or on disk alike
#pragma once

#include <sqlite3.h>

#include <cstdint>
#include <map>
#include <random>
#include <string>
#include <vector>

namespace loomgraft {

enum class Fault {
  none,
  error,       // this write or sync fails, the next ones work
  full,        // from here on there is no space
  torn,        // half of this write is done, then the power fails
  power_loss,  // the power fails before it
};

class FaultyVfs {
 public:
  FaultyVfs();
  ~FaultyVfs();
  FaultyVfs(const FaultyVfs&) = delete;
  FaultyVfs& operator=(const FaultyVfs&) = delete;

  // The n-th write, truncation or sync from now on, from 1.
  void arm(Fault fault, int at, unsigned seed);
  // How many there have been.
  int count() const { return count_; }
  // Makes the files what a power loss leaves of them; nobody may have them open.
  void leave_what_is_left();

  // For the methods of the files.
  struct Change {
    std::int64_t at = 0;
    std::string bytes;       // of a write
    bool truncates = false;  // to `at`
  };
  struct Disk {
    std::string safe;  // on the disk for certain
    bool there = false;
    std::vector<Change> pending;
  };
  // SQLITE_OK where the operation is to be done; with `half`, only half of it.
  int before_change(bool sync, bool& half);
  Disk& disk(const std::string& name) { return disks_[name]; }
  sqlite3_vfs* real() const { return real_; }
  bool power_is_off() const { return off_; }

 private:
  sqlite3_vfs vfs_{};
  sqlite3_vfs* real_ = nullptr;
  std::map<std::string, Disk> disks_;
  Fault fault_ = Fault::none;
  int at_ = 0;
  int count_ = 0;
  bool off_ = false;
  bool full_ = false;
  std::mt19937 random_;
};

}  // namespace loomgraft
