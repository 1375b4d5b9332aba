#include "cli/draw.h"

namespace loomgraft::cli {

void add_draw(CLI::App& app, int& exit) {
  auto* draw = app.add_subcommand("draw", "drawings as SVG files");
  draw->require_subcommand(1);
  add_draw_faces(*draw, exit);
  add_draw_diagram(*draw, exit);
  add_draw_fuse(*draw, exit);
  add_draw_matrix(*draw, exit);
}

}  // namespace loomgraft::cli
