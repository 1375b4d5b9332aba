// Any bytes as a file with pin tables, and as the rows of a sheet in one, for a checksum guards those: no crash, no hang.
// PDF files are left to pdf_words, for each is another process.
#include "files/table_file.h"

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "tests/files/made_files.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace loomgraft;
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  if (bytes.substr(0, 2048).find("%PDF-") != std::string_view::npos) return 0;
  read_table_file(bytes, "table.xlsx");
  if (!bytes.starts_with("PK"))
    read_table_file(files_test::xlsx_of({{"Connector X2", std::string(bytes), ""}}), "table.xlsx");
  return 0;
}
