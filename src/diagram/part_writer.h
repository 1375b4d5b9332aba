// The parts of a diagram in ink. Used within diagram/ only.
//
// Model   one writer a part: frame, symbol, texts, cavities or terminals, at the places of the sheet
// Needs   finish_sheet() has been called
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "diagram/sheet.h"

namespace loomgraft::diagram {

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
  void write();

 private:
  // ---- ink.cpp
  void write_shape();
  bool is_potentiometer() const;
  double middle_x() const { return 0.5 * (left_ + right_); }
  // The x of an upright symbol: near the wires where its text is beside it.
  double symbol_x() const { return look_.beside.empty() ? middle_x() : left_ + 6.0; }
  const std::vector<double>& rows(std::size_t group) const { return placed_.rows[group]; }
  double first_row() const { return rows(net_.sequence.front()).front(); }
  double last_row() const { return rows(net_.sequence.back()).back(); }
  void write_lines(const std::vector<std::string>& lines, double x, double y, Anchor anchor);
  void write_heading() { write_lines(look_.heading, middle_x(), placed_.top, Anchor::middle); }
  void write_beside(double x);
  bool has_row(std::size_t group, std::size_t row, bool right) const;
  // Leads from both edges to the upright line at x, dots where they join.
  // A symbol goes on from the row `symbol_row`.
  void write_leads(std::size_t group, double x, std::size_t symbol_row);
  void write_joint_bar();
  void write_earth_bar();

  // ---- ink_cavities.cpp
  void write_cell(std::size_t t, bool at_right, double cell_left, bool with_text = true);
  void write_pin_text(std::size_t t, double x, double y, bool at_right);
  void write_connector_name(std::size_t t, bool at_right);
  void write_block();
  void write_mated();

  // ---- ink_devices.cpp
  void write_terminal_name(std::size_t t);
  bool terminal_at_right(std::size_t t) const;
  void write_turned(std::string_view symbol, double x, double y, double degrees, double reach);
  std::string_view symbol() const;
  void write_flat();
  void write_two_ended(std::string_view name, std::size_t upper, std::size_t lower, double x, double degrees);
  // A terminal without a wire keeps its lead, so that it does not look cut off.
  void write_bare_terminals(double x);
  void write_upright();
  void write_potentiometer();
  std::size_t group_named(std::string_view name) const;
  // Coil above, contact below, or the other way round, in a dashed frame.
  void write_relay();
  // Between two groups that are neighbours, whichever is above.
  void write_pair(std::string_view name, std::size_t a, std::size_t b, double x);
  void write_other_contact(double x, double closes_y);
  void write_device_box();

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

// A frame with a fill; `round` is the radius of its corners.
struct InkBox {
  double left;
  double top;
  double right;
  double bottom;
};
void write_box(Svg& svg, const InkBox& box, double round, std::string_view fill, double line,
               std::string_view dashes = "none");

namespace ink {
inline constexpr std::string_view block = "#f3f0e8";
inline constexpr std::string_view text = "#1c1c1c";
inline constexpr std::string_view soft = "#4a4a4a";
inline constexpr std::string_view alert = "#8f1a14";
}  // namespace ink

}  // namespace loomgraft::diagram
