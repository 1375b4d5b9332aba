#include "draw/time_current.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

#include "draw/palette.h"
#include "draw/svg.h"
#include "draw/text_extent.h"
#include "units/print.h"

namespace loomgraft {
namespace {

constexpr std::string_view ink_band = "#dedede";
constexpr std::string_view ink_decade = "#8a8a8a";
constexpr std::string_view ink_grid = "#c9c9c9";
constexpr double plot_margin = 5.0;
constexpr double plot_text_size = 2.8;
constexpr double letter_radius = 2.1;
constexpr int samples = 240;
constexpr double infinite = std::numeric_limits<double>::infinity();

struct PlotPoint {
  double x = 0.0;
  double y = 0.0;
};

// One axis: whole decades on a stretch of the sheet.
struct Axis {
  int first = 0;  // powers of ten
  int last = 1;
  double from = 0.0;  // millimetres
  double to = 0.0;

  double place(double value) const {
    const double share = (std::log10(value) - first) / (last - first);
    return from + std::clamp(share, 0.0, 1.0) * (to - from);
  }
  double value(double share) const { return std::pow(10.0, first + share * (last - first)); }
  bool contains(double value) const {
    return value >= std::pow(10.0, first) * (1 - 1e-9) && value <= std::pow(10.0, last) * (1 + 1e-9);
  }
};

struct Entry {
  std::string letter;
  std::string text;
  std::string dashes;
  double width = 0.0;  // of the stroke; 0 for none
};

// The sheet while it is drawn: what is on it, and where letters lie.
struct PlotSheet {
  Svg svg;
  Axis x;
  Axis y;
  double width = 0.0;
  double bottom = 0.0;
  std::vector<std::pair<PlotPoint, std::string>> letters;  // drawn last: no line runs over them
  std::vector<Entry> entries;
};

bool usable(Amperes current) {
  return std::isfinite(current.si) && current.si > 0.0;
}

Axis current_axis(const TimeCurrentPlot& plot) {
  double low = infinite;
  double high = 0.0;
  for (const Amperes current : {plot.load, plot.rating, plot.question.dead_short}) {
    if (!usable(current)) continue;
    low = std::min(low, current.si);
    high = std::max(high, current.si);
  }
  if (high == 0.0) low = high = 1.0;
  Axis axis;
  axis.first = std::clamp(static_cast<int>(std::floor(std::log10(low))), -6, 6);
  axis.last = std::clamp(static_cast<int>(std::ceil(std::log10(high))), axis.first + 1, axis.first + 6);
  return axis;
}

std::string decade_name(int power, bool seconds) {
  return seconds ? print(Seconds{std::pow(10.0, power)}) : print(Amperes{std::pow(10.0, power)});
}

void draw_grid(PlotSheet& sheet) {
  const auto upright = [&](double value, std::string_view stroke, double width) {
    const double x = sheet.x.place(value);
    sheet.svg.line(x, sheet.y.to, x, sheet.y.from, stroke, width);
  };
  const auto level = [&](double value, std::string_view stroke, double width) {
    const double y = sheet.y.place(value);
    sheet.svg.line(sheet.x.from, y, sheet.x.to, y, stroke, width);
  };
  for (const bool decades : {false, true}) {
    const std::string_view stroke = decades ? ink_decade : ink_grid;
    const double width = decades ? 0.2 : 0.1;
    for (int power = sheet.x.first; power <= sheet.x.last; ++power) {
      if (decades) upright(std::pow(10.0, power), stroke, width);
      for (int k = 2; !decades && power < sheet.x.last && k < 10; ++k)
        upright(k * std::pow(10.0, power), stroke, width);
    }
    for (int power = sheet.y.first; power <= sheet.y.last; ++power) {
      if (decades) level(std::pow(10.0, power), stroke, width);
      for (int k = 2; !decades && power < sheet.y.last && k < 10; ++k)
        level(k * std::pow(10.0, power), stroke, width);
    }
  }
}

// Names of decades, and of 2 and 5 of each where the sheet is wide enough.
void draw_scales(PlotSheet& sheet) {
  const TextStyle middle{plot_text_size, false, Anchor::middle};
  const double decade = (sheet.x.to - sheet.x.from) / (sheet.x.last - sheet.x.first);
  for (int power = sheet.x.first; power <= sheet.x.last; ++power) {
    const double base = std::pow(10.0, power);
    const double y = sheet.y.from + 1.5 * plot_text_size;
    sheet.svg.text(sheet.x.place(base), y, decade_name(power, false), middle);
    if (power == sheet.x.last || decade < 40.0) continue;
    for (const double k : {2.0, 5.0})
      sheet.svg.text(sheet.x.place(k * base), y, print(Amperes{k * base}), middle);
  }
  for (int power = sheet.y.first; power <= sheet.y.last; ++power) {
    sheet.svg.text(sheet.x.from - 1.5, sheet.y.place(std::pow(10.0, power)) + 0.35 * plot_text_size,
                   decade_name(power, true), {plot_text_size, false, Anchor::end});
  }
  sheet.svg.text((sheet.x.from + sheet.x.to) / 2, sheet.y.from + 3.1 * plot_text_size, "current", middle);
  sheet.svg.text(sheet.x.from - 1.5, sheet.y.to - 1.2 * plot_text_size, "time",
                 {plot_text_size, false, Anchor::end});
}

void draw_letter(PlotSheet& sheet, PlotPoint at, std::string_view letter) {
  sheet.svg.empty("circle", {{"cx", at.x},
                             {"cy", at.y},
                             {"r", letter_radius},
                             {"fill", palette::paper},
                             {"stroke", palette::text},
                             {"stroke-width", 0.25}});
  sheet.svg.text(at.x, at.y + 0.36 * plot_text_size, letter, {plot_text_size, true, Anchor::middle});
}

bool is_free(const PlotSheet& sheet, PlotPoint at) {
  const bool inside = at.x - letter_radius >= sheet.x.from && at.x + letter_radius <= sheet.x.to &&
                      at.y - letter_radius >= sheet.y.to && at.y + letter_radius <= sheet.y.from;
  return inside && std::ranges::none_of(sheet.letters, [&](const auto& other) {
           return std::hypot(at.x - other.first.x, at.y - other.first.y) < 2.2 * letter_radius;
         });
}

// On the line, as near to the wanted share of it as other letters allow. Where there is no free spot, the
// letter is in the list only.
void place_letter(PlotSheet& sheet, const std::vector<PlotPoint>& line, double wanted,
                  std::string_view letter) {
  if (line.empty()) return;
  const int count = static_cast<int>(line.size());
  const int middle = static_cast<int>(wanted * (count - 1));
  for (int away = 0; away < count; ++away) {
    for (const int i : {middle + away, middle - away}) {
      if (i < 0 || i >= count || !is_free(sheet, line[static_cast<std::size_t>(i)])) continue;
      sheet.letters.emplace_back(line[static_cast<std::size_t>(i)], letter);
      return;
    }
  }
}

std::string path_of(const std::vector<PlotPoint>& line) {
  std::string d;
  for (const PlotPoint& point : line) {
    d += (d.empty() ? "M" : "L") + print_number(point.x) + " " + print_number(point.y) + " ";
  }
  return d;
}

void draw_line(PlotSheet& sheet, const std::vector<PlotPoint>& line, const Entry& entry) {
  if (line.size() < 2) return;
  sheet.svg.empty("path", {{"d", path_of(line)},
                           {"fill", "none"},
                           {"stroke", palette::text},
                           {"stroke-width", entry.width},
                           {"stroke-dasharray", entry.dashes.empty() ? "none" : entry.dashes},
                           {"stroke-linejoin", "round"}});
}

// The part of a falling curve that lies within the sheet, cut where it leaves it.
std::vector<PlotPoint> visible(const PlotSheet& sheet, const std::vector<CurvePoint>& curve) {
  std::vector<PlotPoint> line;
  const double top = std::pow(10.0, sheet.y.last);
  const double floor = std::pow(10.0, sheet.y.first);
  for (std::size_t i = 0; i < curve.size(); ++i) {
    const CurvePoint& point = curve[i];
    const double time = point.time.si;
    if (time > top || time < floor) {
      const bool next_in =
          i + 1 < curve.size() && curve[i + 1].time.si <= top && curve[i + 1].time.si >= floor;
      const bool last_in = i > 0 && curve[i - 1].time.si <= top && curve[i - 1].time.si >= floor;
      if (!next_in && !last_in) continue;
    }
    line.push_back({sheet.x.place(point.current.si),
                    time == infinite ? sheet.y.to : sheet.y.place(std::max(time, 1e-9))});
  }
  return line;
}

std::vector<CurvePoint> fuse_curve(const TimeCurrentPlot& plot, const Axis& x, bool longest) {
  std::vector<double> currents;
  for (int i = 0; i <= samples; ++i) currents.push_back(x.value(static_cast<double>(i) / samples));
  for (const FuseGate& gate : plot.family->gates) {
    for (const double side : {1.0 - 1e-9, 1.0 + 1e-9})
      currents.push_back(gate.multiple * plot.rating.si * side);
  }
  std::ranges::sort(currents);
  std::vector<CurvePoint> curve;
  for (const double current : currents) {
    if (!x.contains(current)) continue;
    const Amperes here{current};
    const Seconds time = longest ? longest_opening(*plot.family, plot.rating, here)
                                 : shortest_opening(*plot.family, plot.rating, here);
    curve.push_back({here, time});
  }
  return curve;
}

void draw_band(PlotSheet& sheet, const std::vector<CurvePoint>& shortest,
               const std::vector<CurvePoint>& longest) {
  const auto at = [&](const CurvePoint& point) -> PlotPoint {
    const double y = point.time.si == infinite ? sheet.y.to : sheet.y.place(std::max(point.time.si, 1e-9));
    return {sheet.x.place(point.current.si), y};
  };
  std::vector<PlotPoint> outline(longest.size() + shortest.size());
  const auto back = std::ranges::transform(longest, outline.begin(), at).out;
  std::transform(shortest.rbegin(), shortest.rend(), back, at);
  if (outline.size() < 3) return;
  sheet.svg.empty("path", {{"d", path_of(outline) + "Z"}, {"fill", ink_band}, {"fill-opacity", 0.75}});
}

void draw_curve(PlotSheet& sheet, const std::vector<CurvePoint>& curve, const Entry& entry, double wanted) {
  const std::vector<PlotPoint> line = visible(sheet, curve);
  draw_line(sheet, line, entry);
  place_letter(sheet, line, wanted, entry.letter);
  sheet.entries.push_back(entry);
  if (line.size() < 2) sheet.entries.back().text += " (not within this sheet)";
}

void draw_current(PlotSheet& sheet, Amperes current, Entry entry, double wanted) {
  if (!usable(current) || !sheet.x.contains(current.si)) return;
  const double x = sheet.x.place(current.si);
  std::vector<PlotPoint> line;
  for (int i = 0; i <= samples; ++i)
    line.push_back({x, sheet.y.from + (sheet.y.to - sheet.y.from) * i / samples});
  draw_line(sheet, {line.front(), line.back()}, entry);
  place_letter(sheet, line, wanted, entry.letter);
  sheet.entries.push_back(std::move(entry));
}

void draw_worst(PlotSheet& sheet, const TimeCurrentPlot& plot) {
  const Protection& verdict = plot.verdict;
  if (!usable(verdict.worst_current) || !sheet.x.contains(verdict.worst_current.si)) return;
  const double x = sheet.x.place(verdict.worst_current.si);
  const auto height = [&](Seconds time) {
    return time.si == infinite ? sheet.y.to : sheet.y.place(std::max(time.si, 1e-9));
  };
  const double fuse = height(verdict.fuse_time);
  const double wire = height(verdict.wire_time);
  sheet.svg.line(x, fuse, x, wire, palette::text, 0.5);
  for (const double y : {fuse, wire}) {
    sheet.svg.empty("circle", {{"cx", x}, {"cy", y}, {"r", 0.8}, {"fill", palette::text}});
  }
  std::vector<PlotPoint> beside;
  for (int i = 0; i <= samples; ++i) {
    const double away = 1.6 * letter_radius + (sheet.x.to - sheet.x.from) * i / samples / 4;
    for (const double side : {away, -away}) beside.push_back({x + side, (fuse + wire) / 2});
  }
  Entry entry{"F", "nearest: " + verdict.reason, "", 0.5};
  place_letter(sheet, beside, 0.0, entry.letter);
  sheet.entries.push_back(std::move(entry));
}

void draw_curves(PlotSheet& sheet, const TimeCurrentPlot& plot) {
  if (plot.family != nullptr && !plot.family->gates.empty() && usable(plot.rating)) {
    const std::vector<CurvePoint> shortest = fuse_curve(plot, sheet.x, false);
    const std::vector<CurvePoint> longest = fuse_curve(plot, sheet.x, true);
    const std::string fuse = print(plot.rating) + " fuse (" + plot.family->name + ")";
    draw_band(sheet, shortest, longest);
    draw_curve(sheet, shortest, {"A", fuse + ": shortest time", "1.2 0.8", 0.35}, 0.35);
    draw_curve(sheet, longest, {"B", fuse + ": longest time", "", 0.35}, 0.5);
  } else {
    sheet.entries.push_back({"", "The times of this fuse are not known.", "", 0.0});
  }
  const Amperes from{sheet.x.value(0.0)};
  const Amperes to{sheet.x.value(1.0)};
  const WireLimits& limits = plot.question.limits;
  const std::string wire = "wire, from " + print(plot.question.start) + ": to " +
                           print(limits.short_circuit) + " within " + print(limit_times().short_circuit) +
                           ", to " + print(limits.life) + " after " + print(limit_times().life);
  draw_curve(sheet, wire_damage_curve(plot.question, from, to, samples), {"C", wire, "", 0.8}, 0.6);
  draw_current(sheet, plot.load, {"D", "load, " + print(plot.load), "2.4 0.8 0.4 0.8", 0.35}, 0.92);
  const Amperes dead = plot.question.dead_short;
  draw_current(sheet, dead, {"E", "dead short, " + print(dead), "0.4 0.8", 0.45}, 0.92);
  draw_worst(sheet, plot);
  for (const auto& [at, letter] : sheet.letters) draw_letter(sheet, at, letter);
}

// Stroke, letter and text of each line, wrapped to the width of the sheet.
void draw_legend_list(PlotSheet& sheet) {
  double y = sheet.y.from + 5.2 * plot_text_size;
  const double left = plot_margin + 16.0;
  for (const Entry& entry : sheet.entries) {
    if (entry.width > 0.0) {
      draw_line(sheet,
                {{plot_margin, y - 0.35 * plot_text_size}, {plot_margin + 8.0, y - 0.35 * plot_text_size}},
                entry);
    }
    if (!entry.letter.empty())
      draw_letter(sheet, {plot_margin + 11.5, y - 0.36 * plot_text_size}, entry.letter);
    for (const std::string& line : wrap(entry.text, sheet.width - plot_margin - left, plot_text_size)) {
      sheet.svg.text(left, y, line, {plot_text_size});
      y += 1.35 * plot_text_size;
    }
    y += 0.45 * plot_text_size;
  }
  sheet.bottom = y;
}

}  // namespace

std::string draw_time_current(const TimeCurrentPlot& plot) {
  PlotSheet sheet;
  sheet.width = std::isfinite(plot.width_mm) ? std::clamp(plot.width_mm, 70.0, 400.0) : 160.0;
  sheet.x = current_axis(plot);
  sheet.y = {-2, 4, 0.0, 0.0};
  sheet.x.from = plot_margin + 4.0 + text_width("100 ms", plot_text_size);
  sheet.x.to = sheet.width - plot_margin - text_width("100 kA", plot_text_size) / 2;
  const std::string title = plot.title.empty() ? "Fuse and wire" : plot.title;
  const std::vector<std::string> head =
      wrap(title, sheet.width - 2 * plot_margin, 1.3 * plot_text_size, true);
  sheet.y.to = plot_margin + 1.7 * plot_text_size * static_cast<double>(head.size()) + 2.4 * plot_text_size;
  sheet.y.from = sheet.y.to + 0.75 * (sheet.x.to - sheet.x.from);
  for (std::size_t i = 0; i < head.size(); ++i) {
    sheet.svg.text(plot_margin,
                   plot_margin + 1.7 * plot_text_size * static_cast<double>(i + 1) - 0.4 * plot_text_size,
                   head[i], {1.3 * plot_text_size, true});
  }
  draw_grid(sheet);
  draw_scales(sheet);
  draw_curves(sheet, plot);
  draw_legend_list(sheet);
  Svg whole;
  whole.open("svg", {{"xmlns", "http://www.w3.org/2000/svg"},
                     {"viewBox", "0 0 " + print_number(sheet.width) + " " + print_number(sheet.bottom)},
                     {"width", print_number(sheet.width) + "mm"},
                     {"height", print_number(sheet.bottom) + "mm"},
                     {"role", "img"},
                     {"font-family", "DejaVu Sans, sans-serif"}});
  whole.title(title);
  whole.empty("rect", {{"width", sheet.width}, {"height", sheet.bottom}, {"fill", palette::paper}});
  return whole.written() + sheet.svg.written() + "</svg>\n";
}

}  // namespace loomgraft
