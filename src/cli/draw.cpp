#include "cli/draw.h"

#include "cli/input.h"

namespace loomgraft::cli {

bool write_drawing(const std::string& file, const std::string& svg) {
  if (write_file(file, svg)) {
    print_text(file + "\n");
    return true;
  }
  print_problems({{Severity::error,
                   "not-written",
                   {file, 0, 0, ""},
                   "The drawing could not be written.",
                   "Check the folder, its permissions and the space left."}});
  return false;
}

void add_draw(CLI::App& app, int& exit) {
  auto* draw = app.add_subcommand("draw", "drawings as SVG files");
  draw->require_subcommand(1);
  draw->footer("Example: loomgraft draw diagram van.json -o van.svg");
  add_draw_faces(*draw, exit);
  add_draw_diagram(*draw, exit);
  add_draw_fuse(*draw, exit);
  add_draw_matrix(*draw, exit);
}

}  // namespace loomgraft::cli
