// The parts of a face sheet, written from the top down. Used within draw/ only.
//
// Model   a page has a text size, the unit of every other measure on it, and a y at which the next part
//         begins
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "draw/face.h"
#include "draw/face_layout.h"
#include "draw/svg.h"

namespace loomgraft::draw {

struct FacePage {
  Svg svg;
  double unit = 2.4;
  double margin = 5.0;
  double left = 0.0;
  double width = 0.0;
  double y = 0.0;
  double widest = 0.0;  // right end of the widest part, where one did not fit
  WireInk ink = WireInk::colour;
  bool planned = false;  // what the marks mean: the plan's changes, not verdicts
};

// Marks of each cavity, most urgent first, then in the order given.
using MarksByCavity = std::map<std::string, std::vector<const FaceMark*>, std::less<>>;

CellRoom cell_room(const FacePage& page, const Connector& connector);

// A paragraph, broken into lines; `size` in units.
void write_paragraph(FacePage& page, std::string_view text, double size, bool bold, std::string_view fill);

// A cavity with its wires and their marks, as text.
std::string cavity_text(std::string_view cavity, const std::vector<const FaceMark*>* marks);

// The housing with everything in it, cut into as many strips as needed.
// With `cavity` only the strip that contains it.
void write_housing(FacePage& page, const Connector& connector, const Face& face, const MarksByCavity& marks,
                   const std::string& cavity = {});

// The marks in use with their meanings.
void write_legend(FacePage& page, const std::vector<FaceMark>& marks);

// Cavity, wire, signal and verdict of every mark, in natural order of the cavities.
void write_list(FacePage& page, const std::vector<FaceMark>& marks, const Face& face);

}  // namespace loomgraft::draw
