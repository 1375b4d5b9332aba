// The tables of a graft file, in one place. Only store/ includes this file.
#pragma once

namespace loomgraft::store {

extern const char* const schema_sql;
// What makes a file of version 1 one of version 2.
extern const char* const add_hashes_sql;
inline constexpr int application_id = 0x4c67'6674;  // "Lgft"
inline constexpr int page_bytes = 4096;

}  // namespace loomgraft::store
