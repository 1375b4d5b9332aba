#include "diagram/symbol.h"

#include <array>
#include <string>

#include "draw/palette.h"

namespace loomgraft::diagram {
namespace {

void line(Svg& svg, double x1, double y1, double x2, double y2) {
  svg.line(x1, y1, x2, y2, symbol_ink, symbol_line);
}

void stroke(Svg& svg, std::string_view path, std::string_view fill = "none") {
  svg.empty("path", {{"d", path}, {"fill", fill}, {"stroke", symbol_ink}, {"stroke-width", symbol_line}});
}

void box(Svg& svg, double half_length, double half_width, std::string_view fill = palette::white) {
  svg.empty("rect", {{"x", -half_length},
                     {"y", -half_width},
                     {"width", 2.0 * half_length},
                     {"height", 2.0 * half_width},
                     {"fill", fill},
                     {"stroke", symbol_ink},
                     {"stroke-width", symbol_line}});
}

void ring(Svg& svg, double radius) {
  svg.empty("circle", {{"cx", 0.0},
                       {"cy", 0.0},
                       {"r", radius},
                       {"fill", palette::white},
                       {"stroke", symbol_ink},
                       {"stroke-width", symbol_line}});
}

void leads(Svg& svg, double reach, double body) {
  line(svg, -reach, 0.0, -body, 0.0);
  line(svg, body, 0.0, reach, 0.0);
}

void arrow(Svg& svg, double x1, double y1, double x2, double y2, double wing_x, double wing_y) {
  line(svg, x1, y1, x2, y2);
  stroke(svg, "M" + print_number(x2 - wing_x) + " " + print_number(y2) + "L" + print_number(x2) + " " +
                  print_number(y2) + "L" + print_number(x2) + " " + print_number(y2 - wing_y));
}

void resistor(Svg& svg, double reach) {
  leads(svg, reach, 3.0);
  box(svg, 3.0, 1.1);
}

void thermistor(Svg& svg, double reach) {
  resistor(svg, reach);
  stroke(svg, "M-3.6 2.1L-2.4 2.1L2.2 -2.1");
}

void fuse(Svg& svg, double reach) {
  box(svg, 3.0, 1.1);
  line(svg, -reach, 0.0, reach, 0.0);
}

// An operating coil: leads at the middle of the long sides.
void coil(Svg& svg, double reach) {
  leads(svg, reach, 1.4);
  box(svg, 1.4, 2.6);
}

void proportional(Svg& svg, double reach) {
  coil(svg, reach);
  arrow(svg, -2.2, 2.4, 2.4, -2.4, 1.2, -1.2);
}

void winding(Svg& svg, double reach) {
  leads(svg, reach, 3.0);
  stroke(svg, "M-3 0A1 1 0 0 1 -1 0A1 1 0 0 1 1 0A1 1 0 0 1 3 0");
}

void winding_with_core(Svg& svg, double reach) {
  winding(svg, reach);
  line(svg, -3.0, -1.6, 3.0, -1.6);
}

void diode(Svg& svg, double reach) {
  stroke(svg, "M-1.6 -1.7L-1.6 1.7L1.6 0Z", palette::white);
  line(svg, 1.6, -1.7, 1.6, 1.7);
  line(svg, -reach, 0.0, reach, 0.0);
}

void led(Svg& svg, double reach) {
  diode(svg, reach);
  arrow(svg, -0.6, -1.5, 0.8, -2.7, 0.7, -0.7);
  arrow(svg, 0.7, -1.1, 2.1, -2.3, 0.7, -0.7);
}

void lamp(Svg& svg, double reach) {
  leads(svg, reach, 2.4);
  ring(svg, 2.4);
  constexpr double d = 1.7;
  line(svg, -d, -d, d, d);
  line(svg, -d, d, d, -d);
}

void machine(Svg& svg, double reach) {
  leads(svg, reach, 2.6);
  ring(svg, 2.6);
}

void horn(Svg& svg, double reach) {
  leads(svg, reach, 2.4);
  stroke(svg, "M-2.4 1.2A2.4 2.4 0 0 1 2.4 1.2Z", palette::white);
  stroke(svg, "M-2.4 0L-2.4 1.2M2.4 0L2.4 1.2");
}

// Two cells; the long stroke is the positive pole, at the left.
void battery(Svg& svg, double reach) {
  leads(svg, reach, 1.5);
  line(svg, -1.5, -2.4, -1.5, 2.4);
  line(svg, -0.5, -1.2, -0.5, 1.2);
  line(svg, 0.5, -2.4, 0.5, 2.4);
  line(svg, 1.5, -1.2, 1.5, 1.2);
}

void contact_open(Svg& svg, double reach) {
  leads(svg, reach, 2.4);
  line(svg, -2.4, 0.0, 2.2, -2.2);
}

void contact_closed(Svg& svg, double reach) {
  leads(svg, reach, 2.4);
  line(svg, -2.4, 0.0, 2.9, -1.7);
  line(svg, 2.4, 0.0, 2.4, -2.2);
}

struct Entry {
  std::string_view name;
  void (*write)(Svg&, double);
  std::string_view letter;
};

constexpr std::array<Entry, 18> entries{{{"resistor", resistor, ""},
                                         {"thermistor", thermistor, ""},
                                         {"fuse", fuse, ""},
                                         {"coil", coil, ""},
                                         {"coil_proportional", proportional, ""},
                                         {"winding", winding, ""},
                                         {"coil_sensor", winding_with_core, ""},
                                         {"diode", diode, ""},
                                         {"led", led, ""},
                                         {"lamp", lamp, ""},
                                         {"motor", machine, "M"},
                                         {"generator", machine, "G"},
                                         {"horn", horn, ""},
                                         {"battery", battery, ""},
                                         {"contact_open", contact_open, ""},
                                         {"contact_closed", contact_closed, ""},
                                         {"potentiometer", resistor, ""},
                                         {"box", resistor, ""}}};

const Entry& entry_of(std::string_view name) {
  for (const Entry& entry : entries) {
    if (entry.name == name) return entry;
  }
  return entries.back();
}

}  // namespace

void write_symbol(Svg& svg, std::string_view name, double reach) {
  entry_of(name).write(svg, reach);
}

std::string_view symbol_letter(std::string_view name) {
  return entry_of(name).letter;
}

void write_earth(Svg& svg, double x, double y) {
  line(svg, x, y, x, y + 2.0);
  line(svg, x - 2.6, y + 2.0, x + 2.6, y + 2.0);
  line(svg, x - 1.7, y + 3.0, x + 1.7, y + 3.0);
  line(svg, x - 0.8, y + 4.0, x + 0.8, y + 4.0);
}

void write_joint(Svg& svg, double x, double y) {
  svg.empty("circle", {{"cx", x}, {"cy", y}, {"r", 0.75}, {"fill", symbol_ink}});
}

void write_open_end(Svg& svg, double x, double y) {
  svg.empty("circle", {{"cx", x},
                       {"cy", y},
                       {"r", 0.7},
                       {"fill", palette::white},
                       {"stroke", symbol_ink},
                       {"stroke-width", symbol_line}});
}

}  // namespace loomgraft::diagram
