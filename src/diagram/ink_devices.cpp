#include <algorithm>

#include "diagram/part_writer.h"
#include "diagram/symbol.h"
#include "draw/text_extent.h"

namespace loomgraft::diagram {

void PartWriter::write_terminal_name(std::size_t t) {
  const std::size_t g = sheet_.built.group_of[p_][t];
  const double size = sheet_.style.lead_text * text_;
  const std::string name = elide(part_.terminals[t].name, 5.0, size);
  const bool at_right = terminal_at_right(t);
  svg_.text(at_right ? right_ - 0.5 : left_ + 0.5, rows(g).front() - 0.5, name,
            {size, false, at_right ? Anchor::end : Anchor::start, ink::soft});
}

bool PartWriter::terminal_at_right(std::size_t t) const {
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

void PartWriter::write_turned(std::string_view symbol, double x, double y, double degrees, double reach) {
  svg_.open("g", {{"transform", "translate(" + print_number(x) + " " + print_number(y) + ") rotate(" +
                                    print_number(degrees) + ")"}});
  write_symbol(svg_, symbol, reach);
  svg_.close("g");
  const std::string_view letter = symbol_letter(symbol);
  if (!letter.empty()) svg_.text(x, y + 0.36 * 2.6, letter, {2.6, true, Anchor::middle, ink::text});
}

std::string_view PartWriter::symbol() const {
  if (part_.kind == nullptr) return "box";
  if (part_.kind->build == DeviceBuild::contacts && part_.device->closed_at_rest)
    return *part_.device->closed_at_rest ? "contact_closed" : "contact_open";
  return part_.kind->symbol;
}

void PartWriter::write_flat() {
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

void PartWriter::write_two_ended(std::string_view name, std::size_t upper, std::size_t lower, double x,
                                 double degrees) {
  const double top = rows(upper).back();
  const double bottom = rows(lower).front();
  write_leads(upper, x, rows(upper).size() - 1);
  write_leads(lower, x, 0);
  const double reach = std::max(0.5 * (bottom - top), symbol_half);
  write_turned(name, x, 0.5 * (top + bottom), degrees, reach);
}

// A terminal without a wire keeps its lead, so that it does not look cut off.
void PartWriter::write_bare_terminals(double x) {
  for (std::size_t t = 0; t < part_.terminals.size(); ++t) {
    const std::size_t g = sheet_.built.group_of[p_][t];
    if (net_.groups[g].left.empty() && net_.groups[g].right.empty())
      svg_.line(left_, rows(g).front(), x, rows(g).front(), symbol_ink, symbol_line);
    write_terminal_name(t);
  }
}

void PartWriter::write_upright() {
  write_heading();
  const double x = symbol_x();
  const std::size_t upper = net_.sequence[0];
  write_two_ended(symbol(), upper, net_.sequence[1], x, upper == 0 ? 90.0 : -90.0);
  write_bare_terminals(x);
  write_beside(x + symbol_rise + 1.6);
}

void PartWriter::write_potentiometer() {
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

std::size_t PartWriter::group_named(std::string_view name) const {
  for (std::size_t t = 0; t < part_.terminals.size(); ++t) {
    if (part_.terminals[t].name == name) return sheet_.built.group_of[p_][t];
  }
  return nothing;
}

// Coil above, contact below, or the other way round, in a dashed frame.
void PartWriter::write_relay() {
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
void PartWriter::write_pair(std::string_view name, std::size_t a, std::size_t b, double x) {
  const bool a_above = rows(a).front() < rows(b).front();
  write_two_ended(name, a_above ? a : b, a_above ? b : a, x, a_above ? 90.0 : -90.0);
}

void PartWriter::write_other_contact(double x, double closes_y) {
  const std::size_t opens = group_named("87a");
  if (opens == nothing) return;
  const double y = rows(opens).front();
  write_leads(opens, x - 2.0, nothing);
  svg_.line(x - 2.0, y, x - 2.0, closes_y - 1.2, symbol_ink, symbol_line);
}

void PartWriter::write_device_box() {
  write_heading();
  const bool beside = !look_.beside.empty();
  const InkBox box{left_, first_row() - 0.5 * pitch_, beside ? left_ + std::max(9.0, look_.cell) : right_,
                   last_row() + 0.5 * pitch_};
  write_box(svg_, box, 0.6, ink::block, 0.35);
  for (std::size_t t = 0; t < part_.terminals.size(); ++t) {
    const bool at_right = terminal_at_right(t);
    write_cell(t, at_right, at_right ? box.right - look_.cell : box.left);
  }
  write_beside(box.right + 1.4);
}

}  // namespace loomgraft::diagram
