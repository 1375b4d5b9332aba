// Any bytes as a pin table, laid over itself as two sources of one module: no crash, no hang.
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "gather/read_tables.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace loomgraft;
  const ReadReport report = read_tables({reinterpret_cast<const char*>(data), size}, "table.csv");
  SourceTables first;
  first.source.id = "first";
  first.tables = report.tables;
  SourceTables second = first;
  second.source.id = "second";
  gather_module("module", ModuleRole::found, {first, second});
  return 0;
}
