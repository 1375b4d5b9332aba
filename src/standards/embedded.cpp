#include "standards/embedded.h"

#include <string>

#include "base/bug.h"

namespace loomgraft {

std::string_view embedded_file(std::string_view name) {
  for (const EmbeddedFile& file : embedded_files()) {
    if (file.name == name) return file.content;
  }
  bug("no embedded file named " + std::string(name));
}

}  // namespace loomgraft
