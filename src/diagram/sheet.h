// The sheet of a diagram: texts, sizes and places of everything on it. Used within diagram/ only.
//
// Model   measure_sheet() chooses texts and gives the net the room that they need; then the net is ordered
//         and placed, and finish_sheet() turns tracks and columns into x. Between two columns lie, from left
//         to right: a lane for labels of the left column, the tracks, a lane for labels of the right column.
//         So no upright stroke meets a label, and level ones are a pitch apart.
#pragma once

#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include "diagram/build.h"
#include "diagram/place.h"
#include "draw/svg.h"
#include "draw/verdict_mark.h"

namespace loomgraft::diagram {

struct SheetStyle {
  static constexpr double text = 2.2;  // mm; the size that symbols and strokes are made for
  bool joints_apart = true;            // a column for joints, fuses and relays
  bool full_labels = true;             // size and length on the wire, not only the letters
  bool grommets = true;                // as columns of their own
  double signal_width = 42.0;
  double beside_width = 34.0;
  double stub_width = 50.0;
  double module_width = 36.0;   // at least
  double small = 0.8;           // of the normal size, where a pin's text takes two lines
  double lead_text = 0.78;      // of the normal size, names of terminals
  double names = 1.0;           // of the normal size, names of parts
  std::size_t title_lines = 3;  // of a module's name, at most
  bool heavy = false;           // some wires are drawn heavier
  WireInk ink = WireInk::colour;
  double pitch() const { return 2.0 * text; }
  double track() const { return (heavy ? 1.0 : 0.85) * text; }
  double line() const { return 1.25 * text; }
  double name_text() const { return names * text; }
  double title_text() const { return std::max(1.15, names) * text; }  // of a module
};

struct PartLook {
  std::vector<std::string> heading;            // above, centred
  std::vector<std::string> beside;             // right of the symbol
  std::vector<std::vector<std::string>> text;  // of each terminal: what the pin does, in one or two lines
  std::size_t bold_lines = 1;                  // of either: the name
  bool caution = false;                        // the last line is a warning
  double width = 0.0;
  double cell = 0.0;  // width of the cells that hold cavity names
};

struct EndLabel {
  std::string text;
  Mark mark = Mark::none;
};

struct DiagramSheet {
  const Graft* graft = nullptr;
  const DiagramIndex* index = nullptr;
  const Choice* choice = nullptr;
  const PartsAndHops* found = nullptr;
  SheetStyle style;
  BuiltNet built;
  NetPlaces places;
  std::vector<PartLook> looks;                  // of each part, passing ones too
  std::vector<std::array<EndLabel, 2>> labels;  // at both ends of each leg
  std::vector<std::array<double, 2>> part_x;    // left and right edge of each part
  std::vector<std::array<double, 2>> column_x;  // of each column
  std::vector<std::array<double, 2>> tracks_x;  // where the tracks of each channel begin and end
  double width = 0.0;                           // of the drawing without title and margin

  const DiagramPart& part(std::size_t p) const { return found->parts[p]; }
  const NetPart& net_part(std::size_t p) const { return built.net.parts[p]; }
  bool has_legs(std::size_t p, bool right) const;
  double end_x(std::size_t leg, std::size_t end) const;
  double track_x(std::size_t leg) const;
  double label_width(const EndLabel& label) const;
};

// "C2 12", "PTO valve": an end of a wire, for people.
std::string text_of(const DiagramIndex& index, const WireEnd& end);
// Which end of a wire goes on on another sheet; `nothing` where both are here.
std::size_t end_elsewhere(const ChosenWire& chosen);
// "to sheet 3, fan relay 86": where it goes on, with a name no wider than `name_width` at the normal size.
std::string reference_text(const DiagramIndex& index, const ChosenWire& chosen, double name_width = 1e6);
// "0.75 mm² 2.4 m YE/BU": what is known of it.
std::string label_of(const Wire& wire);

// The first lines are names.
double widest_line(const std::vector<std::string>& lines, std::size_t names, const SheetStyle& style);
double lines_height(const std::vector<std::string>& lines, std::size_t names, const SheetStyle& style);

void measure_sheet(DiagramSheet& sheet);
void finish_sheet(DiagramSheet& sheet);

// The wires with their labels, then the parts, at (0, 0).
void write_wires(Svg& svg, const DiagramSheet& sheet);
void write_underlays(Svg& svg, const DiagramSheet& sheet);
void write_parts(Svg& svg, const DiagramSheet& sheet);

// Corners of a hop from its first part to its last.
std::vector<std::array<double, 2>> points_of(const DiagramSheet& sheet, std::size_t hop);
// The same of all wires, scaled and then moved by (x, y).
std::vector<DiagramLine> lines_of(const DiagramSheet& sheet, double x, double y, double scale);

// ", added" and so on, behind the description of a wire.
const char* suffix_of(WireState state);

}  // namespace loomgraft::diagram
