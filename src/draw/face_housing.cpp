#include <algorithm>
#include <cmath>

#include "draw/face_page.h"
#include "draw/palette.h"
#include "draw/text_extent.h"

namespace loomgraft::draw {
namespace {

constexpr std::string_view housing_fill = "#f3f0e8";
constexpr double wall = 1.1;       // units between the outer cells and the housing's edge
constexpr double tab_depth = 1.9;  // units, latch above or below
constexpr double tab_length =
    4.0;  // units, smallest length of the latch; its depth where it is at the left or right
constexpr std::string_view latch_word = "latch";

struct Box {
  double left;
  double top;
  double right;
  double bottom;
};

// One strip on the page.
struct StripFrame {
  Box box{};        // housing edge
  double dx = 0.0;  // from layout to page
  double dy = 0.0;
  double cut_left = 0.0;  // where this strip's share of the housing begins and ends
  double cut_right = 0.0;
  bool first = true;
  bool last = true;
};

std::string at(char command, double x, double y) {
  return command + print_number(x) + " " + print_number(y);
}

std::string round_to(double radius, double x, double y) {
  const std::string r = print_number(radius);
  return "A" + r + " " + r + " 0 0 1 " + print_number(x) + " " + print_number(y);
}

// The outline, open at an end where the face goes on in another strip.
std::string outline_of(const Box& box, double radius, bool closed_left, bool closed_right) {
  const double left = closed_left ? radius : 0.0;
  const double right = closed_right ? radius : 0.0;
  std::string path = at('M', box.left + left, box.top) + at('L', box.right - right, box.top);
  if (closed_right) {
    path += round_to(radius, box.right, box.top + radius) + at('L', box.right, box.bottom - radius);
    path += round_to(radius, box.right - radius, box.bottom);
  } else {
    path += at('M', box.right, box.bottom);
  }
  path += at('L', box.left + left, box.bottom);
  if (closed_left) {
    path += round_to(radius, box.left, box.bottom - radius) + at('L', box.left, box.top + radius);
    path += round_to(radius, box.left + radius, box.top);
  }
  return path;
}

void write_outline(FacePage& page, const StripFrame& frame, bool sealed) {
  const Box& box = frame.box;
  page.svg.empty("rect", {{"x", box.left},
                          {"y", box.top},
                          {"width", box.right - box.left},
                          {"height", box.bottom - box.top},
                          {"rx", frame.first && frame.last ? page.unit : 0.0},
                          {"fill", housing_fill}});
  const auto stroke = [&](const Box& edge, double radius, double width) {
    page.svg.empty("path", {{"d", outline_of(edge, radius, frame.first, frame.last)},
                            {"fill", "none"},
                            {"stroke", palette::outline},
                            {"stroke-width", width}});
  };
  stroke(box, page.unit, 0.35);
  if (sealed) {  // a second line for the seal
    const double in = 0.35 * page.unit;
    stroke({box.left + (frame.first ? in : 0.0), box.top + in, box.right - (frame.last ? in : 0.0),
            box.bottom - in},
           0.7 * page.unit, 0.18);
  }
  for (const bool right : {false, true}) {
    if (right ? frame.last : frame.first) continue;
    const double x = right ? box.right : box.left;
    page.svg.empty("line", {{"x1", x},
                            {"y1", box.top - 0.5 * page.unit},
                            {"x2", x},
                            {"y2", box.bottom + 0.5 * page.unit},
                            {"stroke", palette::outline},
                            {"stroke-width", 0.25},
                            {"stroke-dasharray", "1.4 0.9"}});
  }
}

void write_tab(FacePage& page, const Box& tab) {
  page.svg.empty("rect", {{"x", tab.left},
                          {"y", tab.top},
                          {"width", tab.right - tab.left},
                          {"height", tab.bottom - tab.top},
                          {"rx", 0.3 * page.unit},
                          {"fill", palette::white},
                          {"stroke", palette::outline},
                          {"stroke-width", 0.35}});
  const double size = 0.85 * page.unit;
  if (tab.right - tab.left < text_width(latch_word, size) + 0.4 * page.unit) return;
  page.svg.text(0.5 * (tab.left + tab.right), 0.5 * (tab.top + tab.bottom) + 0.3 * page.unit, latch_word,
                {size, false, Anchor::middle});
}

// The part of the latch at this strip. One above or below is at the middle of the whole
// housing, and may be cut where the face is.
Box latch_of(const FaceLayout& layout, const StripFrame& frame, Side side, double unit) {
  const Box& box = frame.box;
  if (side == Side::left || side == Side::right) {
    if (side == Side::left ? !frame.first : !frame.last) return {};
    const double half = 0.5 * std::clamp(0.3 * (box.bottom - box.top), tab_depth * unit, 8.0 * unit);
    const double y = 0.5 * (box.top + box.bottom);
    const double x = side == Side::left ? box.left - tab_length * unit : box.right;
    return {x, y - half, x + tab_length * unit, y + half};
  }
  if (side == Side::unknown) return {};
  const double left = layout.strips.front().left;
  const double right = layout.strips.back().right;
  const double half = 0.5 * std::clamp(0.3 * (right - left), tab_length * unit, 14.0 * unit);
  const double middle = 0.5 * (left + right) + frame.dx;
  const double y = side == Side::top ? box.top - tab_depth * unit : box.bottom;
  return {std::max(middle - half, frame.cut_left), y, std::min(middle + half, frame.cut_right),
          y + tab_depth * unit};
}

// The largest size up to `size` at which the text fits, not below half of it.
double fitting_size(std::string_view text, double width, double size, bool bold) {
  const double wide = text_width(text, size, bold);
  return wide <= width ? size : std::max(0.55 * size, size * width / wide);
}

void write_cell_wire(FacePage& page, const FaceCell& cell, const FaceMark& mark) {
  const double unit = page.unit;
  const double room = cell.height - 2.75 * unit;
  const double most = std::min(room, cell.width - 0.8 * unit);
  const double diameter = std::clamp(1.2 * cell.terminal, std::min(1.45 * unit, most), most);
  const double y = cell.top() + 1.4 * unit + 0.5 * room;
  write_wire_end(page.svg, cell.x, y, 0.5 * diameter, mark.colour, page.ink);

  const std::string letters = letters_of(mark.colour);
  const double width = cell.width - 0.4 * unit;
  const double size = fitting_size(letters, width, 0.95 * unit, false);
  page.svg.text(cell.x, cell.bottom() - 0.35 * unit, elide(letters, width, size),
                {size, false, Anchor::middle});
}

void write_cell(FacePage& page, const FaceCell& cell, const std::vector<const FaceMark*>* marks) {
  const double unit = page.unit;
  const FaceMark* shown = marks == nullptr ? nullptr : marks->front();
  const Mark mark = shown == nullptr ? Mark::none : shown->mark;
  page.svg.open("g", {{"class", "cavity"}, {"data-cavity", cell.cavity}});
  page.svg.title(cavity_text(cell.cavity, marks));
  page.svg.empty("rect", {{"x", cell.left()},
                          {"y", cell.top()},
                          {"width", cell.width},
                          {"height", cell.height},
                          {"rx", 0.35 * unit},
                          {"fill", palette::white},
                          {"stroke", palette::outline},
                          {"stroke-width", mark == Mark::clash ? 0.55 : 0.2}});
  const double symbol = 1.0 * unit;
  const double name_width = cell.width - 0.6 * unit - (mark == Mark::none ? 0.0 : symbol + 0.3 * unit);
  const double size = fitting_size(cell.cavity, name_width, unit, true);
  page.svg.text(cell.left() + 0.3 * unit, cell.top() + 1.1 * unit, elide(cell.cavity, name_width, size, true),
                {size, true});
  write_mark(page.svg, mark, cell.right() - 0.3 * unit - 0.5 * symbol, cell.top() + 0.75 * unit, symbol);
  if (shown != nullptr && !shown->bare) {
    write_cell_wire(page, cell, *shown);
  } else {
    page.svg.empty("circle", {{"cx", cell.x},
                              {"cy", cell.top() + 0.58 * cell.height},
                              {"r", 0.5 * unit},
                              {"fill", "none"},
                              {"stroke", "#8a8a8a"},
                              {"stroke-width", 0.2}});
  }
  page.svg.close("g");
}

void write_scale(FacePage& page, const FaceLayout& layout, bool guessed) {
  const double unit = page.unit;
  page.y += 0.6 * unit;
  if (guessed || !layout.to_scale) {
    write_paragraph(page, "Not to scale.", 0.95, false, "#444444");
    return;
  }
  double length = 10.0;
  while (length > 1.0 && length * layout.scale > 0.4 * page.width) length *= 0.5;
  const double x = page.left;
  const double end = x + length * layout.scale;
  const double y = page.y + 0.6 * unit;
  page.svg.line(x, y, end, y, palette::outline, 0.3);
  page.svg.line(x, y - 0.4 * unit, x, y + 0.4 * unit, palette::outline, 0.3);
  page.svg.line(end, y - 0.4 * unit, end, y + 0.4 * unit, palette::outline, 0.3);
  const std::string text =
      print_number(length) + " mm on the plug, drawn " + print_number(layout.scale) + " : 1";
  const double size = 0.95 * unit;
  const bool beside = end + 0.6 * unit + text_width(text, size) <= page.left + page.width;
  page.svg.text(beside ? end + 0.6 * unit : x, y + (beside ? 0.33 : 1.7) * unit, text,
                {size, false, Anchor::start, "#444444"});
  page.y += (beside ? 1.6 : 2.9) * unit;
}

void write_strip(FacePage& page, const FaceLayout& layout, std::size_t index, const Connector& connector,
                 Side latch, const MarksByCavity& marks) {
  const FaceStrip& strip = layout.strips[index];
  const double unit = page.unit;
  const double edge = wall * unit;
  StripFrame frame;
  frame.first = index == 0;
  frame.last = index + 1 == layout.strips.size();
  frame.dx = page.left + edge - strip.left + (latch == Side::left && frame.first ? tab_length * unit : 0.0);
  frame.dy = page.y + edge - layout.top;
  const auto place_box = [&] {
    frame.box = {strip.left + frame.dx - edge, layout.top + frame.dy - edge, strip.right + frame.dx + edge,
                 layout.bottom + frame.dy + edge};
    // Strips of staggered rows overlap; each has the housing up to the middle between the outermost cells.
    const auto middle = [&](std::size_t i) {
      return 0.5 * (layout.strips[i].right + layout.strips[i + 1].left) + frame.dx;
    };
    frame.cut_left = frame.first ? frame.box.left : middle(index - 1);
    frame.cut_right = frame.last ? frame.box.right : middle(index);
  };
  place_box();
  Box tab = latch_of(layout, frame, latch, unit);
  const bool has_tab = tab.right - tab.left > unit;
  if (has_tab && latch == Side::top) {
    frame.dy += tab_depth * unit;
    place_box();
    tab = latch_of(layout, frame, latch, unit);
  }
  write_outline(page, frame, connector.sealed);
  if (has_tab) write_tab(page, tab);
  for (const std::size_t i : strip.cells) {
    FaceCell cell = layout.cells[i];
    cell.x += frame.dx;
    cell.y += frame.dy;
    const auto found = marks.find(cell.cavity);
    write_cell(page, cell, found == marks.end() ? nullptr : &found->second);
  }
  page.y = has_tab ? std::max(frame.box.bottom, tab.bottom) : frame.box.bottom;
  page.widest = std::max({page.widest, frame.box.right, has_tab ? tab.right : 0.0});
}

bool contains(const FaceLayout& layout, const FaceStrip& strip, const std::string& cavity) {
  return std::ranges::any_of(strip.cells,
                             [&](std::size_t cell) { return layout.cells[cell].cavity == cavity; });
}

}  // namespace

CellRoom cell_room(const FacePage& page, const Connector& connector) {
  const double unit = page.unit;
  const bool beside = connector.latch == Side::left || connector.latch == Side::right;
  const double strip = page.width - 2.0 * wall * unit - (beside ? tab_length * unit : 0.0);
  return {3.7 * unit, 4.4 * unit, 0.25 * unit, std::max(strip, 3.7 * unit)};
}

std::string cavity_text(std::string_view cavity, const std::vector<const FaceMark*>* marks) {
  std::string text = "cavity " + std::string(cavity);
  if (marks == nullptr) return text + ": no wire";
  for (const FaceMark* mark : *marks) {
    text += mark->bare ? std::string(": no wire") : ": " + letters_of(mark->colour) + " " + mark->signal;
    if (mark->mark != Mark::none) text += ", " + std::string(name_of(mark->mark));
    if (!mark->note.empty()) text += " (" + mark->note + ")";
  }
  return text;
}

void write_housing(FacePage& page, const Connector& connector, const Face& face, const MarksByCavity& marks,
                   const std::string& cavity) {
  const FaceLayout layout = lay_out(face, cell_room(page, connector));
  if (layout.strips.empty()) {
    write_paragraph(page, "No cavities are known for this connector.", 1.1, false, palette::outline);
    return;
  }
  const bool asked = std::ranges::any_of(
      layout.strips, [&](const FaceStrip& strip) { return contains(layout, strip, cavity); });
  for (std::size_t i = 0; i < layout.strips.size(); ++i) {
    if (asked && !contains(layout, layout.strips[i], cavity)) continue;
    page.y += 0.5 * page.unit;
    if (layout.strips.size() > 1) {
      write_paragraph(page,
                      "Part " + std::to_string(i + 1) + " of " + std::to_string(layout.strips.size()) +
                          ", from left to right",
                      1.0, true, palette::outline);
      page.y += 0.3 * page.unit;
    }
    write_strip(page, layout, i, connector, face.latch, marks);
    page.y += 0.5 * page.unit;
  }
  write_scale(page, layout, connector.rows_guessed || face.geometry_assumed);
}

}  // namespace loomgraft::draw
