// The files of data/ as they were when the program was built.
#pragma once

#include <span>
#include <string_view>

namespace loomgraft {

struct EmbeddedFile {
  std::string_view name;  // relative to data/, for example "colours.csv"
  std::string_view content;
};

std::span<const EmbeddedFile> embedded_files();

// The content of one file. A name that does not exist is a bug of the caller: throws std::logic_error.
std::string_view embedded_file(std::string_view name);

}  // namespace loomgraft
