// Everything that can still be read from a damaged graft file, as a new file.
//
// Model   every row is fetched by itself, so a damaged page costs only the rows on it; a damaged first page
//         is replaced by that of an empty graft file
// Gives   a file that open() accepts, with the last document that can be rebuilt, and Problems (notes and
//         warnings) that name each revision, reading, tick and attachment that is lost or is not what was written, and
//         say how many are proven by their hashes. A reading, tick or photo that is not what was written is left out; a
//         revision is kept as long as it can be read, for others build on it.
// Fails   file-exists, not-found, nothing-recovered, and as GraftFile for the new file; the damaged file is
//         never written to
#pragma once

#include <string>

#include "store/graft_file.h"

namespace loomgraft {

struct Recovered {
  std::int64_t revision = 0;  // the current one of the new file
  std::size_t revisions = 0;
  std::size_t readings = 0;
  std::size_t ticks = 0;
  std::size_t attachments = 0;
  std::size_t proven = 0;    // entries that are what was written, by their hashes
  std::size_t unproven = 0;  // and that were written without hashes
  Problems lost;
  Problems proof;  // notes: proven-whole, not-proven
};

Stored<Recovered> recover(const std::string& path, const std::string& to);

}  // namespace loomgraft
