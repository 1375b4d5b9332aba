// A circuit diagram cut into sheets of paper to print.
//
// Model   a cavity, a device and the wires between them share a sheet as far as one holds them
//         (diagram/cut.h). A module, a plug, an earth or an opening is on every sheet that needs it, with
//         only the cavities used there, and names the others. A wire between two sheets ends on both in an
//         arrow that names the sheet and the end it goes on to. Where there are several sheets, an index of
//         devices and cavities comes first.
// Gives   every wire chosen on at least one sheet, every reference with one partner; nothing outside the
//         frame; letters no lower than in data/paper.csv. SVG as in diagram/diagram.h; same input,
//         same bytes. The only date on a sheet is the one given.
// Fails   never: what does not fit a sheet at that size of letters is drawn smaller, with the note
//         `drawn-smaller`; other problems as draw_diagram()
// Cost    a layout for each pair of parts that could share a sheet: about 0.3 s for 120 wires
// Method  docs/engine-diagram.md
#pragma once

#include <string>
#include <vector>

#include "diagram/diagram.h"
#include "draw/paper.h"

namespace loomgraft {

struct PaperOptions {
  Paper paper = Paper::a4;
  bool portrait = false;
  std::string revision;  // for the title block; empty: nothing
  std::string date;
};

struct PaperSheet {
  std::string markup;              // what is on the paper, in millimetres
  std::size_t wires = 0;           // 0: the index
  std::size_t crossings = 0;       // of two wires
  double letters_mm = 0.0;         // height of the capitals of the smallest text
  std::vector<DiagramLine> lines;  // on the paper
};

struct PaperDiagram {
  std::string title;
  PaperSize size;
  std::vector<PaperSheet> sheets;
  Problems problems;
};

// The width and the size of text of `options` do not matter here.
PaperDiagram draw_diagram_on_paper(const Graft& graft, const DiagramOptions& options,
                                   const PaperOptions& paper);

// One sheet as a drawing of its own.
std::string on_its_own(const PaperDiagram& diagram, const PaperSheet& sheet);
// All sheets one below the other in one drawing: a nested `svg` with class "paper" each.
std::string in_one_drawing(const PaperDiagram& diagram);
// A page to print, one sheet to a page of its size.
std::string in_one_page(const PaperDiagram& diagram);

}  // namespace loomgraft
