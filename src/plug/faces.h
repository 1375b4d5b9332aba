// A plug to choose from, made ready: its cells, and which cell is at which place from every side, either way
// up.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "plug/plug.h"
#include "plug/cell.h"
#include "loom/face.h"

namespace loomgraft::plug {

// Cells by row and column as a person counts them; -1 where there is no place.
struct PlaceGrid {
  std::vector<std::vector<int>> rows;

  int at(int row, int column) const {
    if (row < 1 || column < 1 || row > static_cast<int>(rows.size())) return -1;
    const auto& places = rows[static_cast<std::size_t>(row - 1)];
    return column > static_cast<int>(places.size()) ? -1 : places[static_cast<std::size_t>(column - 1)];
  }
};

struct PlugFaces {
  struct Way {
    View view = View::unknown;
    bool turned = false;
    Side latch = Side::unknown;
    PlaceGrid grid;
  };

  std::string connector;
  std::vector<std::string> cavities;  // cells' names; those with a place first, in the rows' order
  std::vector<PlugCell> cells;
  std::array<Way, 4> ways;    // wire entry, wire entry turned, mating, mating turned
  bool view_assumed = false;  // the side of the drawing is not known
  double misplaced = 0.0;     // chance that a place given says nothing here
};

PlugFaces faces_of(const PlugCandidate& candidate, const PlugOdds& odds);

// The cavity that the trade calls the first: "1", "A1" or "1A" where there is one, else the first of the
// rows.
int first_cavity(const PlugFaces& faces);

}  // namespace loomgraft::plug
