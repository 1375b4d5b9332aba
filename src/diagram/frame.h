// The surroundings of a diagram on paper: the frame, the title block, the index. Used within diagram/ only.
//
// Gives   lengths in millimetres of the paper; no text outside its cell: what is too long ends in an ellipsis
#pragma once

#include <string>
#include <vector>

#include "draw/paper.h"
#include "draw/svg.h"

namespace loomgraft::diagram {

// Sizes of text whose capitals are as high as data/paper.csv asks for.
double smallest_text();
double name_text();

struct FrameText {
  std::string title;  // of the graft, the module or the circuit
  std::string vehicle;
  std::string state;  // "Circuit diagram as found"
  std::string note = "Wires join only at dots and terminals. Colour letters: IEC 60757.";
  std::string contents;  // of this sheet, above the drawing
  std::string revision;
  std::string date;
  std::size_t number = 1;
  std::size_t of = 1;
};

// Where the drawing goes.
struct DrawingArea {
  double left = 0.0;
  double top = 0.0;
  double width = 0.0;
  double height = 0.0;
};
DrawingArea drawing_area(PaperSize size);

void write_frame(Svg& svg, PaperSize size, const FrameText& text);

// One line of the index: text at the left, a number at the right of its column.
struct IndexLine {
  std::string left;
  std::string right;
  bool bold = false;
};

// The lines in columns; one page of markup for each sheet that they need.
std::vector<std::string> write_index(const DrawingArea& area, const std::vector<IndexLine>& lines);
// How wide the text of a line may be.
double index_width(const DrawingArea& area);

}  // namespace loomgraft::diagram
