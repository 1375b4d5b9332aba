// Whole copies of graft files: made at any time, dated, kept for a while, put back.
//
// Model   the copies of FOLDER/van.graft stand in FOLDER/backups/van/, named by time and number of the last entry:
//         2026-03-01T10-00-00Z-345.graft. Each is a graft file of its own that opens like any other.
// Needs   times as RFC 3339 text in UTC, from outside
// Gives   a copy that was made is complete and was checked entry by entry, or there is none
// Fails   as GraftFile; not-found for a copy that is not there
// Cost    of a copy: reading the file twice, writing it once
#pragma once

#include <string>
#include <vector>

#include "store/graft_file.h"

namespace loomgraft {

struct DatedCopy {
  std::string name;  // of the file, without its folder
  std::string time;  // RFC 3339
  std::int64_t sequence = 0;
  std::uint64_t bytes = 0;
};

std::string copies_folder(const std::string& path);
// Newest first.
std::vector<DatedCopy> dated_copies(const std::string& path);
// Where a copy of this name stands; it may come from anyone.
Stored<std::string> path_of_copy(const std::string& path, const std::string& name);

// Kept are the last ten, the last of each day for 14 days, and the last of each week for 8 weeks.
std::vector<DatedCopy> copies_to_drop(const std::vector<DatedCopy>& newest_first, const std::string& now);

// A copy now, after which those that need not be kept are removed. The newest one if nothing was written since.
Stored<DatedCopy> make_dated_copy(const std::string& path, const std::string& now);
// The same if the newest one is older than ten minutes (an hour for large files); nullopt where none was due.
Stored<std::optional<DatedCopy>> make_copy_if_due(const std::string& path, const std::string& now);

// Puts the graft file `copy` in the place of `path`. What was there becomes a dated copy first; if it cannot be read, it
// is kept as it is under another name (job.graft.replaced-TIME). Whoever has it open is told file-replaced on writing.
// Numbers of the sequence go on where the replaced file ended, so that nobody who follows it misses anything.
Stored<bool> put_back(const std::string& copy, const std::string& path, const std::string& now);

}  // namespace loomgraft
