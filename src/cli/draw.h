// The drawings, one subcommand of `draw` each.
#pragma once

#include "cli/command.h"

namespace loomgraft::cli {

// Writes the file and says its name, or says why not.
bool write_drawing(const std::string& file, const std::string& svg);

void add_draw_faces(CLI::App& draw, int& exit);
void add_draw_diagram(CLI::App& draw, int& exit);
void add_draw_fuse(CLI::App& draw, int& exit);
void add_draw_matrix(CLI::App& draw, int& exit);

}  // namespace loomgraft::cli
