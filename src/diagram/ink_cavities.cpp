#include "diagram/part_writer.h"
#include "diagram/symbol.h"
#include "draw/palette.h"
#include "draw/text_extent.h"

namespace loomgraft::diagram {

namespace {

constexpr std::string_view soft_line = "#8a8578";

}  // namespace

void PartWriter::write_cell(std::size_t t, bool at_right, double cell_left, bool with_text) {
  const PartTerminal& terminal = part_.terminals[t];
  const std::size_t group = sheet_.built.group_of[p_][t];
  const InkBox cell{cell_left, rows(group).front() - 0.5 * pitch_, cell_left + look_.cell,
                    rows(group).back() + 0.5 * pitch_};
  const std::string owner = terminal.connector.empty() ? part_.id : terminal.connector;
  svg_.open("g", {{"class", "pin"}, {"data-pin", owner + " " + terminal.name}});
  const bool has_text = t < look_.text.size() && !look_.text[t].empty();
  std::string title = terminal.name;
  if (has_text) {
    for (const std::string& line : look_.text[t]) title += (title == terminal.name ? ": " : " ") + line;
  }
  svg_.title(title);
  write_box(svg_, cell, 0.0, palette::white, 0.2);
  const double y = 0.5 * (cell.top + cell.bottom) + 0.35 * text_;
  svg_.text(0.5 * (cell.left + cell.right), y, elide(terminal.name, 16.0, text_),
            {text_, false, Anchor::middle, ink::text});
  if (has_text && with_text) write_pin_text(t, at_right ? cell.left - 1.2 : cell.right + 1.2, y, at_right);
  svg_.close("g");
}

void PartWriter::write_pin_text(std::size_t t, double x, double y, bool at_right) {
  const std::vector<std::string>& lines = look_.text[t];
  const bool forbidden = part_.terminals[t].forbidden;
  const TextStyle style{lines.size() > 1 ? sheet_.style.small * text_ : text_, false,
                        at_right ? Anchor::end : Anchor::start, forbidden ? ink::alert : ink::text};
  const double step = 1.12 * style.size;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const double shift = static_cast<double>(i) - 0.5 * static_cast<double>(lines.size() - 1);
    svg_.text(x, y + shift * step, lines[i], style);
  }
}

void PartWriter::write_connector_name(std::size_t t, bool at_right) {
  const std::string& id = part_.terminals[t].connector;
  const Connector* connector = sheet_.index->connector(id);
  const std::string name = connector == nullptr || connector->name.empty() ? id : connector->name;
  const double y = rows(sheet_.built.group_of[p_][t]).front() - 0.5 * pitch_;
  if (t > 0) svg_.line(left_, y - 0.85 * pitch_, right_, y - 0.85 * pitch_, soft_line, 0.2);
  svg_.text(at_right ? right_ - 0.6 : left_ + 0.6, y - 0.22 * text_,
            elide(name, right_ - left_ - 2.0, text_, true),
            {text_, true, at_right ? Anchor::end : Anchor::start, ink::text});
}

void PartWriter::write_block() {
  write_box(svg_, {left_, placed_.top, right_, placed_.bottom}, 0.8, ink::block, 0.35);
  double y = placed_.top + 0.7;
  for (std::size_t i = 0; i < look_.heading.size(); ++i) {
    const bool name = i < look_.bold_lines;
    const double size = name ? sheet_.style.title_text() : text_;
    svg_.text(middle_x(), y + 0.95 * size, look_.heading[i],
              {size, name, Anchor::middle, name ? ink::text : ink::soft});
    y += 1.25 * size;
  }
  std::string connector;
  for (std::size_t t = 0; t < part_.terminals.size(); ++t) {
    const NetGroup& group = net_.groups[sheet_.built.group_of[p_][t]];
    const bool at_right = !group.right.empty() || (group.left.empty() && sheet_.has_legs(p_, true));
    if (part_.module != nullptr && (t == 0 || part_.terminals[t].connector != connector)) {
      connector = part_.terminals[t].connector;
      write_connector_name(t, at_right);
    }
    if (at_right) write_cell(t, true, right_ - look_.cell);
    if (!at_right || !group.left.empty()) write_cell(t, false, left_, !at_right);
  }
}

void PartWriter::write_mated() {
  write_heading();
  write_box(svg_, {left_, first_row() - 0.5 * pitch_ - 0.4, right_, last_row() + 0.5 * pitch_ + 0.4}, 0.8,
            ink::block, 0.35);
  const double middle = middle_x();
  for (std::size_t t = 0; t < part_.terminals.size(); ++t) {
    const std::size_t group = sheet_.built.group_of[p_][t];
    write_cell(t, false, left_);
    const double y = 0.5 * (rows(group).front() + rows(group).back());
    svg_.text(right_ - 0.5 * look_.cell, y + 0.35 * text_, elide(part_.terminals[t].name, 16.0, text_),
              {text_, false, Anchor::middle, ink::text});
    // A pin in its socket.
    svg_.empty("path", {{"d", "M" + print_number(middle - 0.9) + " " + print_number(y - 1.0) + "L" +
                                  print_number(middle + 0.7) + " " + print_number(y) + "L" +
                                  print_number(middle - 0.9) + " " + print_number(y + 1.0)},
                        {"fill", "none"},
                        {"stroke", symbol_ink},
                        {"stroke-width", symbol_line}});
  }
}

}  // namespace loomgraft::diagram
