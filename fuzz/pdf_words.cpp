// Any words at any place on a page: no crash, no hang.
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "files/page_text.h"
#include "files/pdf_pages.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace loomgraft;
  files::PlacedText text(files::PartKind::page);
  files::add_pages(text, files::pages_of_bbox({reinterpret_cast<const char*>(data), size}));
  find_tables(text.text(), "pages.pdf");
  return 0;
}
