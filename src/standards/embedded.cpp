#include "standards/embedded.h"

#include <stdexcept>
#include <string>

namespace loomgraft {

std::string_view embedded_file(std::string_view name) {
  for (const EmbeddedFile& file : embedded_files()) {
    if (file.name == name) return file.content;
  }
  throw std::logic_error("no embedded file named " + std::string(name));
}

}  // namespace loomgraft
