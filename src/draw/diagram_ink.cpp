#include <algorithm>
#include <cmath>

#include "draw/diagram_sheet.h"
#include "draw/symbol.h"
#include "draw/text_extent.h"

namespace loomgraft {
namespace {

constexpr std::string_view block_fill = "#f3f0e8";
constexpr std::string_view cell_fill = "#ffffff";
constexpr std::string_view soft_line = "#8a8578";
constexpr std::string_view ink_text = "#1c1c1c";
constexpr std::string_view ink_soft = "#4a4a4a";
constexpr std::string_view ink_alert = "#8f1a14";

struct Box {
  double left;
  double top;
  double right;
  double bottom;
};

void write_box(Svg& svg, const Box& box, double round, std::string_view fill, double line,
               std::string_view dashes = "none") {
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

class PartWriter {
 public:
  PartWriter(Svg& svg, const DiagramSheet& sheet, std::size_t p)
      : svg_(svg),
        sheet_(sheet),
        p_(p),
        part_(sheet.part(p)),
        net_(sheet.net_part(p)),
        look_(sheet.looks[p]),
        placed_(sheet.places.parts[p]),
        left_(sheet.part_x[p][0]),
        right_(sheet.part_x[p][1]),
        text_(sheet.style.text),
        pitch_(sheet.style.pitch()) {}

  void write() {
    if (part_.module != nullptr) {
      svg_.open("g", {{"class", "module"}, {"data-module", part_.id}});
    } else if (part_.left != nullptr) {
      svg_.open("g", {{"class", "connector"}, {"data-connector", part_.id}});
    } else if (part_.path != nullptr) {
      svg_.open("g", {{"class", "grommet"}, {"data-path", part_.id}});
    } else {
      svg_.open("g", {{"class", "device"}, {"data-device", part_.id}});
    }
    svg_.title(part_.kind == nullptr || part_.kind->words == part_.name
                   ? part_.name
                   : part_.name + ": " + part_.kind->words);
    write_shape();
    svg_.close("g");
  }

 private:
  void write_shape() {
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

  bool is_potentiometer() const {
    return part_.kind != nullptr && part_.kind->build == DeviceBuild::potentiometer &&
           net_.groups.size() == 3;
  }

  double middle_x() const { return 0.5 * (left_ + right_); }
  // Where an upright symbol stands: near the wires where its text is beside it.
  double symbol_x() const { return look_.beside.empty() ? middle_x() : left_ + 6.0; }
  const std::vector<double>& rows(std::size_t group) const { return placed_.rows[group]; }
  double first_row() const { return rows(net_.sequence.front()).front(); }
  double last_row() const { return rows(net_.sequence.back()).back(); }

  // ---- texts

  void write_lines(const std::vector<std::string>& lines, double x, double y, Anchor anchor) {
    for (std::size_t i = 0; i < lines.size(); ++i) {
      const bool last = i + 1 == lines.size();
      const std::string_view fill = look_.caution && last  ? ink_alert
                                    : i < look_.bold_lines ? ink_text
                                                           : ink_soft;
      svg_.text(x, y + 0.95 * text_ + static_cast<double>(i) * sheet_.style.line(), lines[i],
                {text_, i < look_.bold_lines, anchor, fill});
    }
  }

  void write_heading() { write_lines(look_.heading, middle_x(), placed_.top, Anchor::middle); }

  void write_beside(double x) {
    if (look_.beside.empty()) return;
    const double height = static_cast<double>(look_.beside.size()) * sheet_.style.line();
    write_lines(look_.beside, x, 0.5 * (first_row() + last_row()) - 0.5 * height, Anchor::start);
  }

  // ---- cavities

  void write_cell(std::size_t t, bool at_right, double cell_left, bool with_words = true) {
    const PartTerminal& terminal = part_.terminals[t];
    const std::size_t group = sheet_.built.group_of[p_][t];
    const Box cell{cell_left, rows(group).front() - 0.5 * pitch_, cell_left + look_.cell,
                   rows(group).back() + 0.5 * pitch_};
    const std::string owner = terminal.connector.empty() ? part_.id : terminal.connector;
    svg_.open("g", {{"class", "pin"}, {"data-pin", owner + " " + terminal.name}});
    const bool has_words = t < look_.words.size() && !look_.words[t].empty();
    std::string title = terminal.name;
    if (has_words) {
      for (const std::string& line : look_.words[t]) title += (title == terminal.name ? ": " : " ") + line;
    }
    svg_.title(title);
    write_box(svg_, cell, 0.0, cell_fill, 0.2);
    const double y = 0.5 * (cell.top + cell.bottom) + 0.35 * text_;
    svg_.text(0.5 * (cell.left + cell.right), y, elide(terminal.name, 16.0, text_),
              {text_, false, Anchor::middle, ink_text});
    if (has_words && with_words) write_words(t, at_right ? cell.left - 1.2 : cell.right + 1.2, y, at_right);
    svg_.close("g");
  }

  void write_words(std::size_t t, double x, double y, bool at_right) {
    const std::vector<std::string>& lines = look_.words[t];
    const bool forbidden = part_.terminals[t].pin != nullptr && part_.terminals[t].pin->forbidden;
    const TextStyle style{lines.size() > 1 ? small_text * text_ : text_, false,
                          at_right ? Anchor::end : Anchor::start, forbidden ? ink_alert : ink_text};
    const double step = 1.12 * style.size;
    for (std::size_t i = 0; i < lines.size(); ++i) {
      const double shift = static_cast<double>(i) - 0.5 * static_cast<double>(lines.size() - 1);
      svg_.text(x, y + shift * step, lines[i], style);
    }
  }

  void write_connector_name(std::size_t t, bool at_right) {
    const std::string& id = part_.terminals[t].connector;
    const Connector* connector = sheet_.index->connector(id);
    const std::string name = connector == nullptr || connector->name.empty() ? id : connector->name;
    const double y = rows(sheet_.built.group_of[p_][t]).front() - 0.5 * pitch_;
    if (t > 0) svg_.line(left_, y - 0.85 * pitch_, right_, y - 0.85 * pitch_, soft_line, 0.2);
    svg_.text(at_right ? right_ - 0.6 : left_ + 0.6, y - 0.22 * text_,
              elide(name, right_ - left_ - 2.0, text_, true),
              {text_, true, at_right ? Anchor::end : Anchor::start, ink_text});
  }

  void write_block() {
    write_box(svg_, {left_, placed_.top, right_, placed_.bottom}, 0.8, block_fill, 0.35);
    for (std::size_t i = 0; i < look_.heading.size(); ++i) {
      const double size = 1.15 * text_;
      svg_.text(middle_x(), placed_.top + 0.7 + 0.95 * size + static_cast<double>(i) * 1.25 * size,
                look_.heading[i], {size, true, Anchor::middle, ink_text});
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

  void write_mated() {
    write_heading();
    write_box(svg_, {left_, first_row() - 0.5 * pitch_ - 0.4, right_, last_row() + 0.5 * pitch_ + 0.4}, 0.8,
              block_fill, 0.35);
    const double middle = middle_x();
    for (std::size_t t = 0; t < part_.terminals.size(); ++t) {
      const std::size_t group = sheet_.built.group_of[p_][t];
      write_cell(t, false, left_);
      const double y = 0.5 * (rows(group).front() + rows(group).back());
      svg_.text(right_ - 0.5 * look_.cell, y + 0.35 * text_, elide(part_.terminals[t].name, 16.0, text_),
                {text_, false, Anchor::middle, ink_text});
      // A pin in its socket.
      svg_.empty("path", {{"d", "M" + print_number(middle - 0.9) + " " + print_number(y - 1.0) + "L" +
                                    print_number(middle + 0.7) + " " + print_number(y) + "L" +
                                    print_number(middle - 0.9) + " " + print_number(y + 1.0)},
                          {"fill", "none"},
                          {"stroke", symbol_ink},
                          {"stroke-width", symbol_line}});
    }
  }

  // ---- joints

  bool has_row(std::size_t group, std::size_t row, bool right) const {
    const NetGroup& g = net_.groups[group];
    const std::size_t used = g.side(right).size();
    const std::size_t first = (g.rows() - std::max<std::size_t>(used, 1)) / 2;
    return row >= first && row < first + used;
  }

  // Leads from both edges to the upright line at x, dots where they join.
  // A symbol goes on from the row `symbol_row`.
  void write_leads(std::size_t group, double x, std::size_t symbol_row) {
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

  void write_joint_bar() {
    write_heading();
    const double x = middle_x();
    write_leads(0, x, nothing);
    if (part_.shape == PartShape::open_end) {
      write_open_end(svg_, x, first_row());
    } else if (net_.groups[0].left.size() + net_.groups[0].right.size() < 3) {
      write_joint(svg_, x, first_row());
    }
  }

  void write_earth_bar() {
    const double x = symbol_x();
    write_leads(0, x, rows(0).size() - 1);
    write_earth(svg_, x, last_row());
    write_lines(look_.beside, x + 4.0, last_row() + 0.8, Anchor::start);
  }

  // ---- devices

  void write_terminal_name(std::size_t t) {
    const std::size_t g = sheet_.built.group_of[p_][t];
    const double size = 0.78 * text_;
    const std::string name = elide(part_.terminals[t].name, 5.0, size);
    const bool at_right = terminal_at_right(t);
    svg_.text(at_right ? right_ - 0.5 : left_ + 0.5, rows(g).front() - 0.5, name,
              {size, false, at_right ? Anchor::end : Anchor::start, ink_soft});
  }

  bool terminal_at_right(std::size_t t) const {
    const std::size_t g = sheet_.built.group_of[p_][t];
    if (!sheet_.built.flat[p_]) return net_.groups[g].left.empty() && !net_.groups[g].right.empty();
    // Both terminals share the group: this one is at the side where its hops are.
    for (std::size_t h = 0; h < sheet_.found->hops.size(); ++h) {
      const Hop& hop = sheet_.found->hops[h];
      const std::vector<std::size_t>& legs = sheet_.built.runs[h].legs;
      if (hop.from.part == p_ && hop.from.terminal == t)
        return sheet_.built.net.legs[legs.front()].ends[0].right;
      if (hop.to.part == p_ && hop.to.terminal == t) return sheet_.built.net.legs[legs.back()].ends[1].right;
    }
    return t == 1;
  }

  void write_turned(std::string_view symbol, double x, double y, double degrees, double reach) {
    svg_.open("g", {{"transform", "translate(" + print_number(x) + " " + print_number(y) + ") rotate(" +
                                      print_number(degrees) + ")"}});
    write_symbol(svg_, symbol, reach);
    svg_.close("g");
    const std::string_view letter = symbol_letter(symbol);
    if (!letter.empty()) svg_.text(x, y + 0.36 * 2.6, letter, {2.6, true, Anchor::middle, ink_text});
  }

  std::string_view symbol() const {
    if (part_.kind == nullptr) return "box";
    if (part_.kind->build == DeviceBuild::contacts && part_.device->closed_at_rest)
      return *part_.device->closed_at_rest ? "contact_closed" : "contact_open";
    return part_.kind->symbol;
  }

  void write_flat() {
    write_heading();
    const double x = middle_x();
    const double y = first_row();
    const std::vector<double>& all = rows(0);
    for (const bool right : {false, true}) {
      const double side = right ? right_ : left_;
      const double bar = right ? right_ - 2.5 : left_ + 2.5;
      std::size_t count = 0;
      for (std::size_t row = 0; row < all.size(); ++row) {
        if (!has_row(0, row, right)) continue;
        svg_.line(side, all[row], bar, all[row], symbol_ink, symbol_line);
        svg_.line(bar, all[row], bar, y, symbol_ink, symbol_line);
        if (++count > 1) write_joint(svg_, bar, all[row]);
      }
      svg_.line(bar, y, x + (right ? 5.0 : -5.0), y, symbol_ink, symbol_line);
    }
    write_turned(symbol(), x, y, terminal_at_right(0) ? 180.0 : 0.0, 5.5);
    write_terminal_name(0);
    write_terminal_name(1);
  }

  void write_two_ended(std::string_view name, std::size_t upper, std::size_t lower, double x,
                       double degrees) {
    const double top = rows(upper).back();
    const double bottom = rows(lower).front();
    write_leads(upper, x, rows(upper).size() - 1);
    write_leads(lower, x, 0);
    const double reach = std::max(0.5 * (bottom - top), symbol_half);
    write_turned(name, x, 0.5 * (top + bottom), degrees, reach);
  }

  // A terminal without a wire keeps its lead, so that it does not look cut off.
  void write_bare_terminals(double x) {
    for (std::size_t t = 0; t < part_.terminals.size(); ++t) {
      const std::size_t g = sheet_.built.group_of[p_][t];
      if (net_.groups[g].left.empty() && net_.groups[g].right.empty())
        svg_.line(left_, rows(g).front(), x, rows(g).front(), symbol_ink, symbol_line);
      write_terminal_name(t);
    }
  }

  void write_upright() {
    write_heading();
    const double x = symbol_x();
    const std::size_t upper = net_.sequence[0];
    write_two_ended(symbol(), upper, net_.sequence[1], x, upper == 0 ? 90.0 : -90.0);
    write_bare_terminals(x);
    write_beside(x + symbol_rise + 1.6);
  }

  void write_potentiometer() {
    write_heading();
    const double x = symbol_x();
    const std::size_t upper = net_.sequence[0];
    const std::size_t wiper = net_.sequence[1];
    write_two_ended("potentiometer", upper, net_.sequence[2], x, 90.0);
    const double y = rows(wiper).front();
    const bool from_right = net_.groups[wiper].left.empty() && !net_.groups[wiper].right.empty();
    const double way = from_right ? 1.0 : -1.0;
    const double tip = x + way * 1.2;
    write_leads(wiper, tip, nothing);
    svg_.empty("path", {{"d", "M" + print_number(tip + way * 1.3) + " " + print_number(y - 0.8) + "L" +
                                  print_number(tip) + " " + print_number(y) + "L" +
                                  print_number(tip + way * 1.3) + " " + print_number(y + 0.8) + "Z"},
                        {"fill", symbol_ink}});
    write_bare_terminals(x);
    write_beside(x + symbol_rise + 1.6);
  }

  std::size_t group_named(std::string_view name) const {
    for (std::size_t t = 0; t < part_.terminals.size(); ++t) {
      if (part_.terminals[t].name == name) return sheet_.built.group_of[p_][t];
    }
    return nothing;
  }

  // Coil above, contact below, or the other way round, in a dashed frame.
  void write_relay() {
    const std::size_t coil[] = {group_named("85"), group_named("86")};
    const std::size_t feed = group_named("30");
    const std::size_t closes = group_named("87");
    if (coil[0] == nothing || coil[1] == nothing || feed == nothing || closes == nothing)
      return write_device_box();
    write_heading();
    const double x = look_.beside.empty() ? middle_x() : left_ + 9.0;
    const double frame_right = look_.beside.empty() ? right_ - 4.4 : x + 5.6;
    write_box(svg_, {left_ + 4.4, first_row() - 0.6 * pitch_, frame_right, last_row() + 0.6 * pitch_}, 0.6,
              "none", 0.25, "1.2 0.8");
    write_pair("coil", coil[0], coil[1], x);
    write_pair("contact_open", feed, closes, x);
    const double coil_y = 0.5 * (rows(coil[0]).front() + rows(coil[1]).front());
    const double contact_y = 0.5 * (rows(feed).front() + rows(closes).front());
    svg_.empty("path", {{"d", "M" + print_number(x + 2.6) + " " + print_number(coil_y) + "L" +
                                  print_number(x + 4.2) + " " + print_number(coil_y) + "L" +
                                  print_number(x + 4.2) + " " + print_number(contact_y) + "L" +
                                  print_number(x + 1.2) + " " + print_number(contact_y)},
                        {"fill", "none"},
                        {"stroke", symbol_ink},
                        {"stroke-width", 0.2},
                        {"stroke-dasharray", "0.7 0.5"}});
    write_other_contact(x, rows(closes).front());
    write_bare_terminals(x);
    write_beside(frame_right + 1.2);
  }

  // Between two groups that are neighbours, whichever is above.
  void write_pair(std::string_view name, std::size_t a, std::size_t b, double x) {
    const bool a_above = rows(a).front() < rows(b).front();
    write_two_ended(name, a_above ? a : b, a_above ? b : a, x, a_above ? 90.0 : -90.0);
  }

  void write_other_contact(double x, double closes_y) {
    const std::size_t opens = group_named("87a");
    if (opens == nothing) return;
    const double y = rows(opens).front();
    write_leads(opens, x - 2.0, nothing);
    svg_.line(x - 2.0, y, x - 2.0, closes_y - 1.2, symbol_ink, symbol_line);
  }

  void write_device_box() {
    write_heading();
    const bool beside = !look_.beside.empty();
    const Box box{left_, first_row() - 0.5 * pitch_, beside ? left_ + std::max(9.0, look_.cell) : right_,
                  last_row() + 0.5 * pitch_};
    write_box(svg_, box, 0.6, block_fill, 0.35);
    for (std::size_t t = 0; t < part_.terminals.size(); ++t) {
      const bool at_right = terminal_at_right(t);
      write_cell(t, at_right, at_right ? box.right - look_.cell : box.left);
    }
    write_beside(box.right + 1.4);
  }

  Svg& svg_;
  const DiagramSheet& sheet_;
  std::size_t p_;
  const DiagramPart& part_;
  const NetPart& net_;
  const PartLook& look_;
  const PlacedPart& placed_;
  double left_;
  double right_;
  double text_;
  double pitch_;
};

}  // namespace

void write_parts(Svg& svg, const DiagramSheet& sheet) {
  for (std::size_t p = 0; p < sheet.found->parts.size(); ++p) PartWriter(svg, sheet, p).write();
}

}  // namespace loomgraft
