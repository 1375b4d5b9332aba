// A plug to choose from, prepared: its cells, and which cell is at which position from every side, either way
// up.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "loom/face.h"
#include "plug/cell.h"
#include "plug/plug.h"

namespace loomgraft::plug {

// Cells by row and column as a person counts them; -1 where there is no cavity.
struct CavityGrid {
  std::vector<std::vector<int>> rows;

  int at(int row, int column) const {
    if (row < 1 || column < 1 || row > static_cast<int>(rows.size())) return -1;
    const auto& cells = rows[static_cast<std::size_t>(row - 1)];
    return column > static_cast<int>(cells.size()) ? -1 : cells[static_cast<std::size_t>(column - 1)];
  }
};

struct PlugFaces {
  struct Orientation {
    View view = View::unknown;
    bool turned = false;
    Side latch = Side::unknown;
    CavityGrid grid;
  };

  std::string connector;
  std::vector<std::string> cavities;  // cells' names; those with a position first, in the rows' order
  std::vector<PlugCell> cells;
  std::array<Orientation, 4> orientations;  // wire entry, wire entry turned, mating, mating turned
  bool view_assumed = false;                // the side of the drawing is not known
  double misplaced = 0.0;                   // chance that a stated position means nothing here
};

PlugFaces faces_of(const PlugCandidate& candidate, const PlugOdds& odds);

// The cavity that the trade calls the first: "1", "A1" or "1A" where there is one, else the first of the
// rows.
int first_cavity(const PlugFaces& faces);

}  // namespace loomgraft::plug
