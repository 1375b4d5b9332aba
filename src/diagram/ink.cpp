#include "diagram/part_writer.h"
#include "diagram/symbol.h"

namespace loomgraft::diagram {

void write_box(Svg& svg, const InkBox& box, double round, std::string_view fill, double line,
               std::string_view dashes) {
  svg.empty("rect", {{"x", box.left},
                     {"y", box.top},
                     {"width", box.right - box.left},
                     {"height", box.bottom - box.top},
                     {"rx", round},
                     {"fill", fill},
                     {"stroke", symbol_ink},
                     {"stroke-width", line},
                     {"stroke-dasharray", dashes}});
}

void PartWriter::write() {
  if (part_.module != nullptr) {
    svg_.open("g", {{"class", "module"}, {"data-module", part_.id}});
  } else if (part_.left != nullptr) {
    svg_.open("g", {{"class", "connector"}, {"data-connector", part_.id}});
  } else if (part_.path != nullptr) {
    svg_.open("g", {{"class", "grommet"}, {"data-path", part_.id}});
  } else {
    svg_.open("g", {{"class", "device"}, {"data-device", part_.id}});
  }
  svg_.title(part_.kind == nullptr || part_.kind->text == part_.name ? part_.name
                                                                     : part_.name + ": " + part_.kind->text);
  write_shape();
  svg_.close("g");
}

void PartWriter::write_shape() {
  switch (part_.shape) {
    case PartShape::module:
    case PartShape::connector:
      return write_block();
    case PartShape::mated:
      return write_mated();
    case PartShape::grommet:
      return write_heading();
    case PartShape::joint:
    case PartShape::open_end:
      return write_joint_bar();
    case PartShape::earth:
      return write_earth_bar();
    case PartShape::two_ended:
      if (sheet_.built.flat[p_]) return write_flat();
      return net_.groups.size() == 2 ? write_upright() : write_device_box();
    case PartShape::relay:
      return write_relay();
    case PartShape::box:
      if (is_potentiometer()) return write_potentiometer();
      return write_device_box();
  }
}

bool PartWriter::is_potentiometer() const {
  return part_.kind != nullptr && part_.kind->build == DeviceBuild::potentiometer && net_.groups.size() == 3;
}

void PartWriter::write_lines(const std::vector<std::string>& lines, double x, double y, Anchor anchor) {
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const bool last = i + 1 == lines.size();
    const bool name = i < look_.bold_lines;
    const double size = name ? sheet_.style.name_text() : text_;
    const std::string_view fill = look_.caution && last ? ink::alert : name ? ink::text : ink::soft;
    svg_.text(x, y + 0.95 * size, lines[i], {size, name, anchor, fill});
    y += 1.25 * size;
  }
}

void PartWriter::write_beside(double x) {
  if (look_.beside.empty()) return;
  const double height = lines_height(look_.beside, look_.bold_lines, sheet_.style);
  write_lines(look_.beside, x, 0.5 * (first_row() + last_row()) - 0.5 * height, Anchor::start);
}

bool PartWriter::has_row(std::size_t group, std::size_t row, bool right) const {
  const NetGroup& g = net_.groups[group];
  const std::size_t used = g.side(right).size();
  const std::size_t first = (g.rows() - std::max<std::size_t>(used, 1)) / 2;
  return row >= first && row < first + used;
}

// Leads from both edges to the upright line at x, dots where they join.
// A symbol goes on from the row `symbol_row`.
void PartWriter::write_leads(std::size_t group, double x, std::size_t symbol_row) {
  const std::vector<double>& y = rows(group);
  for (std::size_t row = 0; row < y.size(); ++row) {
    std::size_t ways = (row > 0 ? 1U : 0U) + (row + 1 < y.size() ? 1U : 0U) + (row == symbol_row ? 1U : 0U);
    for (const bool right : {false, true}) {
      if (!has_row(group, row, right)) continue;
      svg_.line(right ? right_ : left_, y[row], x, y[row], symbol_ink, symbol_line);
      ++ways;
    }
    if (ways > 2) write_joint(svg_, x, y[row]);
  }
  if (y.size() > 1) svg_.line(x, y.front(), x, y.back(), symbol_ink, symbol_line);
}

void PartWriter::write_joint_bar() {
  write_heading();
  const double x = middle_x();
  write_leads(0, x, nothing);
  if (part_.shape == PartShape::open_end) {
    write_open_end(svg_, x, first_row());
  } else if (net_.groups[0].left.size() + net_.groups[0].right.size() < 3) {
    write_joint(svg_, x, first_row());
  }
}

void PartWriter::write_earth_bar() {
  const double x = symbol_x();
  write_leads(0, x, rows(0).size() - 1);
  write_earth(svg_, x, last_row());
  write_lines(look_.beside, x + 4.0, last_row() + 0.8, Anchor::start);
}

void write_parts(Svg& svg, const DiagramSheet& sheet) {
  for (std::size_t p = 0; p < sheet.found->parts.size(); ++p) PartWriter(svg, sheet, p).write();
}

}  // namespace loomgraft::diagram
