// Any bytes as a file with pin tables: no crash, no hang. PDF files are left to pdf_words, for each is another process.
#include "files/table_file.h"

#include <cstddef>
#include <cstdint>
#include <string_view>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  if (bytes.substr(0, 2048).find("%PDF-") != std::string_view::npos) return 0;
  loomgraft::read_table_file(bytes, "table.xlsx");
  return 0;
}
