// A plain layout of a connector from the names of its cavities, where no source gives its geometry.
//
// Model   names with letters ("A1", "1B", "AA12") give a row for each letter; plain numbers run through rows
//         of about equal length: one row up to six, two up to forty, three up to seventy-two, four beyond;
//         other names stand in a row of their own
// Gives   rows in the wire side view, at the pitch of common housings; to be marked as guessed
#pragma once

#include <string>
#include <vector>

#include "loom/graft.h"

namespace loomgraft::gather {

std::vector<CavityRow> guess_rows(const std::vector<std::string>& cavities);

}  // namespace loomgraft::gather
