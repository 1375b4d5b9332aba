// Where the cavities of a face are on the sheet.
//
// Model   centres keep their true proportions; one magnification for the whole face, the smallest at which
//         every cavity has room for its name, its wire and the wire's letters. A face wider than the sheet
//         is cut from top to bottom into strips of nearly equal width, each cavity whole in one of them.
// Needs   cell_width and cell_height > 0
// Gives   cells that never overlap, in sheet millimetres; a face whose lengths are absurd (nearly touching
//         centres, a gap of metres) is laid out by row and column instead, and says so in `to_scale`
// Cost    O(n^2) at worst for n cavities, O(n) strips
#pragma once

#include <string>
#include <vector>

#include "loom/face.h"

namespace loomgraft::draw {

struct FaceCell {
  std::string cavity;
  double x = 0.0;  // centre
  double y = 0.0;
  double width = 0.0;
  double height = 0.0;
  double terminal = 0.0;  // nominal terminal width on the sheet, 0 is unknown

  double left() const { return x - 0.5 * width; }
  double right() const { return x + 0.5 * width; }
  double top() const { return y - 0.5 * height; }
  double bottom() const { return y + 0.5 * height; }
};

struct FaceStrip {
  std::vector<std::size_t> cells;  // positions in FaceLayout::cells
  double left = 0.0;               // outermost cell edges
  double right = 0.0;
};

struct FaceLayout {
  double scale = 1.0;  // sheet millimetres for one millimetre of the plug
  bool to_scale = true;
  double top = 0.0;  // outermost cell edges
  double bottom = 0.0;
  std::vector<FaceCell> cells;
  std::vector<FaceStrip> strips;  // from left to right, at least one if there is a cell
};

struct CellRoom {
  double width = 0.0;  // smallest size of a cell
  double height = 0.0;
  double gap = 0.0;          // between cells
  double strip_width = 0.0;  // largest width of the cells of one strip
};

FaceLayout lay_out(const Face& face, const CellRoom& room);

}  // namespace loomgraft::draw
