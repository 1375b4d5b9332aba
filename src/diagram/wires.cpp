#include <algorithm>
#include <cmath>

#include "diagram/sheet.h"
#include "diagram/symbol.h"
#include "draw/palette.h"

namespace loomgraft::diagram {
namespace {

constexpr std::string_view faded = "#808080";

constexpr double halo =
    0.7;  // mm of bare paper around a wire, both sides together: less than tracks are apart
constexpr double heavier = 1.4;  // an added wire

struct Stroke {
  std::string_view colour;
  double width;
  std::string_view dashes = "none";
};

void write_stroke(Svg& svg, const std::string& path, const Stroke& stroke) {
  svg.empty("path", {{"d", path},
                     {"fill", "none"},
                     {"stroke", stroke.colour},
                     {"stroke-width", stroke.width},
                     {"stroke-dasharray", stroke.dashes},
                     {"stroke-linejoin", "round"}});
}

std::string path_of(const std::vector<std::array<double, 2>>& points) {
  std::string path;
  for (const auto& [x, y] : points)
    path += (path.empty() ? "M" : "L") + print_number(x) + " " + print_number(y);
  return path;
}

// The wire as it looks, on a halo of paper that separates it from what it crosses.
void write_coloured(Svg& svg, const std::string& path, const Colour& colour, double weight) {
  const Paint paint = paint_of(colour.base);
  std::string stripe = paint.stripe;
  if (!colour.tracer.empty()) stripe = paint_of(colour.tracer).fill;
  write_stroke(svg, path, {palette::paper, 1.25 * weight + halo});
  write_stroke(svg, path, {palette::outline, 1.25 * weight, paint.known ? "none" : "1 0.6"});
  write_stroke(svg, path, {paint.fill, 0.95 * weight});
  if (!stripe.empty()) write_stroke(svg, path, {stripe, 0.34 * weight});
}

void write_black(Svg& svg, const std::string& path, double weight) {
  write_stroke(svg, path, {palette::paper, 0.45 * weight + halo});
  write_stroke(svg, path, {palette::text, 0.45 * weight});
}

void write_cross(Svg& svg, double x, double y) {
  constexpr double r = 1.2;
  svg.line(x - r, y - r, x + r, y + r, palette::text, 0.5);
  svg.line(x - r, y + r, x + r, y - r, palette::text, 0.5);
}

class WireWriter {
 public:
  WireWriter(Svg& svg, const DiagramSheet& sheet) : svg_(svg), sheet_(sheet) {}

  void write_all() {
    std::vector<std::vector<std::size_t>> hops_of(sheet_.choice->wires.size());
    for (std::size_t h = 0; h < sheet_.found->hops.size(); ++h) {
      const std::size_t wire = sheet_.found->hops[h].wire;
      if (wire == nothing) {
        write_bare_pin(h);
      } else {
        hops_of[wire].push_back(h);
      }
    }
    // Retired wires are drawn first, below the others.
    for (const bool retired : {true, false}) {
      for (std::size_t w = 0; w < hops_of.size(); ++w) {
        if ((sheet_.choice->wires[w].state == WireState::retired) == retired) write_wire(w, hops_of[w]);
      }
    }
  }

 private:
  void write_bare_pin(std::size_t h) {
    const Hop& hop = sheet_.found->hops[h];
    const PartTerminal& terminal = sheet_.part(hop.from.part).terminals[hop.from.terminal];
    const std::size_t leg = sheet_.built.runs[h].legs.front();
    const std::string& text = sheet_.labels[leg][0].text;
    if (text.empty()) return;
    svg_.open("g", {{"class", "bare"}, {"data-pin", terminal.connector + " " + terminal.name}});
    svg_.title(text);
    draw_colour(points_of(sheet_, h), terminal.pin ? terminal.pin->colour : Colour{}, 1.0);
    write_label(leg, 0);
    svg_.close("g");
  }

  void draw_colour(const std::vector<std::array<double, 2>>& points, const Colour& colour, double weight) {
    if (sheet_.style.ink == WireInk::black) {
      write_black(svg_, path_of(points), weight);
    } else {
      write_coloured(svg_, path_of(points), colour, weight);
    }
  }

  std::string title_of(const ChosenWire& chosen) const {
    const Wire& wire = chosen.wire;
    const auto end = [&](const WireEnd& e) {
      return e.at.empty() ? "an open end" : text_of(*sheet_.index, e);
    };
    return (wire.signal.empty() ? wire.id : wire.signal) + ": " + label_of(wire) + ", " + end(wire.from) +
           " to " + end(wire.to) + suffix_of(chosen.state);
  }

  void write_wire(std::size_t w, const std::vector<std::size_t>& hops) {
    constexpr const char* classes[] = {"wire", "wire added", "wire retired", "wire moved"};
    const ChosenWire& chosen = sheet_.choice->wires[w];
    if (hops.empty()) return;
    svg_.open("g", {{"class", classes[static_cast<int>(chosen.state)]},
                    {"data-wire", chosen.wire.id},
                    {"data-signal", chosen.wire.signal}});
    svg_.title(title_of(chosen));
    write_strokes(chosen, hops);
    for (const std::size_t h : hops) {
      for (const std::size_t leg : sheet_.built.runs[h].legs) {
        for (const std::size_t e : {std::size_t{0}, std::size_t{1}}) write_label(leg, e);
      }
    }
    svg_.close("g");
  }

  // Hops that meet in a grommet are one stroke.
  void write_strokes(const ChosenWire& chosen, const std::vector<std::size_t>& hops) {
    std::vector<std::array<double, 2>> points;
    for (std::size_t i = 0; i < hops.size(); ++i) {
      const std::vector<std::array<double, 2>> next = points_of(sheet_, hops[i]);
      points.insert(points.end(), next.begin(), next.end());
      const bool goes_on = i + 1 < hops.size() && points_of(sheet_, hops[i + 1]).front() == points.back();
      if (goes_on) continue;
      write_stretch(chosen, sheet_.found->hops[hops[i]], points);
      points.clear();
    }
  }

  void write_stretch(const ChosenWire& chosen, const Hop& hop,
                     const std::vector<std::array<double, 2>>& points) {
    if (points.size() < 2) return;
    if (hop.ghost || chosen.state == WireState::retired) {
      const std::string path = path_of(points);
      if (!hop.ghost) write_stroke(svg_, path, {palette::paper, 1.4});
      write_stroke(svg_, path, {faded, hop.ghost ? 0.4 : 0.6, hop.ghost ? "0.8 0.8" : "1.8 0.9"});
    } else {
      draw_colour(points, chosen.wire.colour, chosen.state == WireState::added ? heavier : 1.0);
    }
    if (hop.to.part != nothing || hop.ghost) return;
    if (end_elsewhere(chosen) == nothing) return write_open_end(svg_, points.back()[0], points.back()[1]);
    write_reference(chosen, points.back(), points.back()[0] > points.front()[0]);
  }

  // An arrow head where the wire leaves the sheet.
  void write_reference(const ChosenWire& chosen, const std::array<double, 2>& tip, bool to_right) {
    const std::size_t end = end_elsewhere(chosen);
    const double back = tip[0] + (to_right ? -1.8 : 1.8);
    svg_.open("g", {{"class", "reference"},
                    {"data-to-sheet", static_cast<double>(chosen.away[end])},
                    {"data-end", end == 0 ? "from" : "to"}});
    svg_.title(reference_text(*sheet_.index, chosen));
    svg_.empty("path", {{"d", "M" + print_number(back) + " " + print_number(tip[1] - 1.1) + "L" +
                                  print_number(tip[0]) + " " + print_number(tip[1]) + "L" +
                                  print_number(back) + " " + print_number(tip[1] + 1.1) + "Z"},
                        {"fill", palette::text}});
    svg_.close("g");
  }

  void write_label(std::size_t leg, std::size_t e) {
    const EndLabel& label = sheet_.labels[leg][e];
    if (label.text.empty()) return;
    const NetEnd& end = sheet_.built.net.legs[leg].ends[e];
    const std::array<double, 2>& column = sheet_.column_x[sheet_.net_part(end.part).column];
    const double size = sheet_.style.text;
    const double width = sheet_.label_width(label);
    double x = end.right ? column[1] + 1.0 : column[0] - 1.0 - width;
    const double y = sheet_.places.ends[leg][e];
    const double lift = 0.36 * size + (label.mark == Mark::add ? 0.25 : 0.0);
    if (label.mark != Mark::none) {
      write_mark(svg_, label.mark, x + 0.55 * size, y - lift - 0.4 * size, size);
      x += 1.4 * size;
    }
    svg_.text(x, y - lift - 0.14 * size, label.text, {size, false, Anchor::start, palette::text});
    // In its lane, where nothing else is.
    if (label.mark == Mark::retire)
      write_cross(svg_, end.right ? column[1] + 2.6 + width : column[0] - 2.6 - width, y);
  }

  Svg& svg_;
  const DiagramSheet& sheet_;
};

}  // namespace

// Grommets, over which the wires run.
void write_underlays(Svg& svg, const DiagramSheet& sheet) {
  for (std::size_t p = 0; p < sheet.found->parts.size(); ++p) {
    if (sheet.part(p).shape != PartShape::grommet) continue;
    const PlacedPart& placed = sheet.places.parts[p];
    const double pitch = sheet.style.pitch();
    double top = placed.rows.front().front();
    double bottom = top;
    for (const auto& rows : placed.rows) {
      top = std::min(top, rows.front());
      bottom = std::max(bottom, rows.back());
    }
    svg.empty("rect", {{"x", sheet.part_x[p][0]},
                       {"y", top - 0.5 * pitch},
                       {"width", sheet.part_x[p][1] - sheet.part_x[p][0]},
                       {"height", bottom - top + pitch},
                       {"rx", 2.4},
                       {"fill", "#dcd7ca"},
                       {"stroke", symbol_ink},
                       {"stroke-width", symbol_line}});
  }
}

void write_wires(Svg& svg, const DiagramSheet& sheet) {
  WireWriter(svg, sheet).write_all();
}

}  // namespace loomgraft::diagram
