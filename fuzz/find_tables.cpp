// Any bytes at all: no crash, no hang, and what comes out keeps its promises.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "tables/table.h"
#include "text/encoding.h"

namespace {

void check(const loomgraft::Cell& cell) {
  if (cell.line < 1 || cell.column < 1 || !loomgraft::valid_utf8(cell.text)) std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  for (const char* name : {"table.txt", "table.yaml"}) {
    const loomgraft::TableText found = loomgraft::find_tables(bytes, name);
    for (const loomgraft::Table& table : found.tables) {
      for (const loomgraft::Cell& cell : table.header) check(cell);
      for (const auto& row : table.rows)
        for (const loomgraft::Cell& cell : row) check(cell);
    }
    if (found.tables.empty() && found.problems.empty()) std::abort();
  }
  return 0;
}
