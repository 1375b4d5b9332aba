// A circuit diagram of a graft, laid out by the program.
//
// Model   modules at the left with their cavities in order, devices opposite, joints, fuses and relays
//         between, mated connectors and grommets as columns of their own; supplies above, earths below. Wires
//         run level and upright, each in its own colours with size, length and colour letters on it. Lengths
//         on the sheet are millimetres.
// Gives   one SVG document without scripts, links, fonts or images from elsewhere; groups carry `data-wire`,
//         `data-device`, `data-module`, `data-connector` and `data-pin`, each with a title. No text lies over
//         another or over a wire. Same input, same bytes.
// Fails   never: what does not fit together (an end at nothing, an id that is used twice, a selection without
//         a wire) is drawn as far as it makes sense and reported in `problems`
// Cost    200 wires in well under 150 ms (bench/diagram.cpp); grows with the square of the wires of a channel
// Method  docs/engine-diagram.md
#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <vector>

#include "base/problem.h"
#include "draw/wire_paint.h"
#include "loom/graft.h"

namespace loomgraft {

enum class DiagramShow { found, planned, difference };

struct DiagramOptions {
  DiagramShow show = DiagramShow::found;
  std::string module;   // id or name: this module with what it reaches. Empty: every module with wires
  std::string circuit;  // a signal, or the id of a wire or device: what is reached from it
  double width_mm =
      0.0;  // of the sheet; 0 is as wide as the drawing needs. Narrower sheets have less text on wires
  double text_mm = 2.2;  // size of the text on wires and pins; everything else grows with it
  WireInk ink = WireInk::colour;
};

// A wire as drawn: level and upright strokes from end to end, in sheet millimetres.
struct DiagramLine {
  std::string wire;
  std::vector<std::array<double, 2>> points;
};

struct Diagram {
  std::string svg;
  std::size_t crossings = 0;  // of two wires
  bool fewest = false;        // no order of parts and wires in these columns has fewer
  double width_mm = 0.0;
  double height_mm = 0.0;
  double scale = 1.0;              // of the drawing: text size over 2.2 mm, less where it had to shrink
  std::vector<DiagramLine> lines;  // before scaling
  Problems problems;
};

Diagram draw_diagram(const Graft& graft, const DiagramOptions& options = {});

}  // namespace loomgraft
