#include "diagram/frame.h"

#include <algorithm>
#include <cmath>

#include "draw/palette.h"
#include "draw/text_extent.h"

namespace loomgraft::diagram {
namespace {

constexpr double block_height = 12.0;  // mm, of the title block
constexpr double inset = 2.0;          // between the frame and what is in it
constexpr double thick = 0.5;
constexpr double thin = 0.25;
constexpr double column = 84.0;  // mm, of the index, at least
constexpr double gutter = 6.0;

struct Cell {
  double left;
  double width;
};

void write_cell(Svg& svg, const Cell& cell, double y, const std::string& text, const TextStyle& style) {
  const std::string fitting = elide(text, cell.width - 2.0 * inset, style.size, style.bold);
  if (!fitting.empty()) svg.text(cell.left + inset, y, fitting, style);
}

double index_step() {
  return 1.4 * smallest_text();
}

std::size_t index_columns(const DrawingArea& area) {
  return static_cast<std::size_t>(std::max(1.0, std::floor((area.width + gutter) / (column + gutter))));
}

double column_width(const DrawingArea& area) {
  const double columns = static_cast<double>(index_columns(area));
  return (area.width - (columns - 1.0) * gutter) / columns;
}

constexpr double number_width = 16.0;  // mm, of an index line

}  // namespace

double smallest_text() {
  return paper_figure("least_letter") / capital_height;
}

double name_text() {
  return paper_figure("name_letter") / capital_height;
}

DrawingArea drawing_area(PaperSize size) {
  const double edge = paper_figure("bare_edge");
  const double contents = 2.3 * smallest_text();
  return {edge + inset, edge + inset + contents, size.width - 2.0 * (edge + inset),
          size.height - 2.0 * (edge + inset) - contents - block_height};
}

void write_frame(Svg& svg, PaperSize size, const FrameText& text) {
  const double edge = paper_figure("bare_edge");
  const double width = size.width - 2.0 * edge;
  const double bottom = size.height - edge;
  const double top = bottom - block_height;
  svg.empty("rect", {{"x", edge},
                     {"y", edge},
                     {"width", width},
                     {"height", bottom - edge},
                     {"fill", "none"},
                     {"stroke", palette::text},
                     {"stroke-width", thick}});
  svg.line(edge, top, edge + width, top, palette::text, thick);
  const double sheet = 30.0;
  const double stamp = 0.2 * (width - sheet);
  const Cell title{edge, 0.42 * (width - sheet)};
  const Cell state{title.left + title.width, width - sheet - stamp - title.width};
  const Cell marks{state.left + state.width, stamp};
  const Cell number{marks.left + marks.width, sheet};
  for (const Cell& cell : {state, marks, number})
    svg.line(cell.left, top, cell.left, bottom, palette::text, thin);
  const TextStyle name{name_text(), true, Anchor::start, palette::text};
  const TextStyle plain{smallest_text(), false, Anchor::start, palette::text};
  const TextStyle soft{smallest_text(), false, Anchor::start, palette::soft};
  const double upper = top + 5.2;
  const double lower = top + 9.8;
  write_cell(svg, title, upper, text.title, name);
  write_cell(svg, title, lower, text.vehicle, plain);
  write_cell(svg, state, upper, text.state, plain);
  write_cell(svg, state, lower, text.note, soft);
  write_cell(svg, marks, upper, text.revision.empty() ? "" : "revision " + text.revision, plain);
  write_cell(svg, marks, lower, text.date, plain);
  write_cell(svg, number, 0.5 * (upper + lower),
             "sheet " + std::to_string(text.number) + " of " + std::to_string(text.of),
             {smallest_text(), true, Anchor::start, palette::text});
  write_cell(svg, {edge, width}, edge + inset + smallest_text(), text.contents,
             {smallest_text(), true, Anchor::start, palette::text});
}

double index_width(const DrawingArea& area) {
  return column_width(area) - number_width;
}

std::vector<std::string> write_index(const DrawingArea& area, const std::vector<IndexLine>& lines) {
  const auto rows = static_cast<std::size_t>(std::max(1.0, std::floor(area.height / index_step())));
  const std::size_t columns = index_columns(area);
  std::vector<std::string> pages;
  for (std::size_t first = 0; first < lines.size(); first += rows * columns) {
    Svg svg;
    for (std::size_t i = first; i < std::min(lines.size(), first + rows * columns); ++i) {
      const std::size_t at = i - first;
      const std::size_t past = at / rows;  // columns that are full
      const double x = area.left + static_cast<double>(past) * (column_width(area) + gutter);
      const double y = area.top + smallest_text() + static_cast<double>(at % rows) * index_step();
      const IndexLine& line = lines[i];
      const TextStyle style{smallest_text(), line.bold, Anchor::start, palette::text};
      const double room = line.right.empty() ? column_width(area) : index_width(area);
      if (!line.left.empty()) svg.text(x, y, elide(line.left, room, style.size, style.bold), style);
      if (!line.right.empty())
        svg.text(x + column_width(area), y, elide(line.right, number_width - 2.0, style.size, true),
                 {style.size, true, Anchor::end, palette::text});
    }
    pages.push_back(svg.written());
  }
  return pages;
}

}  // namespace loomgraft::diagram
