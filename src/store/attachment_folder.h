// The photos and ticks of a graft file as a folder of plain files: numbered photos, and a list of photos and
// ticks in attachments.json.
//
// Gives   reading a written folder adds the same attachments and ticks to another graft file, in order
// Fails   not-written; not-found and attachment-list-not-usable for a folder that holds no such list or whose
//         list names files outside of it; damaged for a photo that differs from the list; and as GraftFile.
//         Entries read before a failure are kept; the same folder can be read again, nothing is stored twice
#pragma once

#include <string>

#include "store/graft_file.h"

namespace loomgraft {

struct FolderCount {
  std::size_t attachments = 0;
  std::size_t ticks = 0;
};

// The folder is made if missing; an attachments.json in it is replaced.
Stored<FolderCount> write_attachment_folder(GraftFile& file, const std::string& folder);
Stored<FolderCount> read_attachment_folder(GraftFile& file, const std::string& folder);

}  // namespace loomgraft
