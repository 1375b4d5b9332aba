#include "serve/page_files.h"

#include <algorithm>
#include <iterator>

namespace loomgraft::serve {
namespace {

struct EndingType {
  std::string_view ending;
  std::string_view type;
};

// Media types as IANA registers them.
constexpr EndingType types[] = {{".html", "text/html; charset=utf-8"},
                                {".js", "text/javascript; charset=utf-8"},
                                {".css", "text/css; charset=utf-8"},
                                {".svg", "image/svg+xml"},
                                {".json", "application/json"},
                                {".png", "image/png"},
                                {".ico", "image/vnd.microsoft.icon"},
                                {".woff2", "font/woff2"},
                                {".webmanifest", "application/manifest+json"}};

}  // namespace

const PageFile* find_page_file(std::string_view name) {
  const auto files = page_files();
  const auto found =
      std::find_if(files.begin(), files.end(), [&](const PageFile& file) { return file.name == name; });
  return found == files.end() ? nullptr : &*found;
}

std::string_view type_of_file(std::string_view name) {
  const auto found = std::find_if(std::begin(types), std::end(types),
                                  [&](const EndingType& row) { return name.ends_with(row.ending); });
  return found == std::end(types) ? std::string_view("application/octet-stream") : found->type;
}

}  // namespace loomgraft::serve
