// What a graft file holds beside its document and readings, as a folder of plain files: photos under numbers,
// and a list of them with the ticks in attachments.json.
//
// Gives   reading what was written puts the same attachments and ticks into another graft file, in order
// Fails   not-written; not-found and attachment-list-not-usable for a folder that holds no such list or whose
//         list names files outside of it; damaged for a photo that is not what the list says; and as
//         GraftFile. What came before a failure stays; the same folder can be read again, nothing is doubled
#pragma once

#include <string>

#include "store/graft_file.h"

namespace loomgraft {

struct FolderCount {
  std::size_t attachments = 0;
  std::size_t ticks = 0;
};

// The folder is made where it is not there; an attachments.json in it is replaced.
Stored<FolderCount> write_attachment_folder(GraftFile& file, const std::string& folder);
Stored<FolderCount> read_attachment_folder(GraftFile& file, const std::string& folder);

}  // namespace loomgraft
