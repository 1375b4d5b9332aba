// A graft document from disk, read and validated.
#pragma once

#include <optional>
#include <string>

#include "base/problem.h"
#include "loom/graft.h"

namespace loomgraft::cli {

// No graft where the file is not readable or no document; `problems` gets what reading and validate() found,
// each with the file's name.
std::optional<Graft> read_graft_file(const std::string& path, Problems& problems);

}  // namespace loomgraft::cli
