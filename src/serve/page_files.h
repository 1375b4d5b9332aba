// The files of the page, which are part of the program.
//
// Gives   the page as tools/build_web made it, or a note that it was not built; the pairing page; the demo's
//         document. Found by name, without a slash: "index.html", "app.js", "pair.html", "demo.json"
#pragma once

#include <span>
#include <string_view>

namespace loomgraft::serve {

struct PageFile {
  std::string_view name;
  std::string_view bytes;
};

std::span<const PageFile> page_files();  // made by cmake/embed_page.cmake

// Null where there is none.
const PageFile* find_page_file(std::string_view name);

// "text/javascript; charset=utf-8" for "app.js".
std::string_view type_of_file(std::string_view name);

}  // namespace loomgraft::serve
