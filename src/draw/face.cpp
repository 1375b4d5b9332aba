#include "draw/face.h"

#include <algorithm>
#include <cmath>

#include "draw/face_page.h"
#include "draw/palette.h"
#include "draw/text_extent.h"

namespace loomgraft {

using namespace draw;
namespace {

constexpr std::string_view ink_alert = "#8f1a14";
constexpr double wide_margin = 5.0;    // millimetres
constexpr double narrow_margin = 1.5;  // where only a part of the plug is shown, on a phone
constexpr double side_gap = 8.0;

FacePage new_page(const FaceOptions& options) {
  FacePage page;
  const double width = std::isfinite(options.width_mm) ? std::clamp(options.width_mm, 40.0, 2000.0) : 190.0;
  const double text = std::isfinite(options.text_mm) ? options.text_mm : 0.0;
  const double normal = width < 120.0 ? 3.0 : 2.4;
  page.unit = text > 0.0 ? std::clamp(text, 1.0, 20.0) : normal;
  page.margin = options.cavity.empty() ? wide_margin : narrow_margin;
  page.left = page.margin;
  page.width = width - 2.0 * page.margin;
  page.y = page.margin;
  page.ink = options.ink;
  page.planned = options.planned;
  return page;
}

MarksByCavity index_marks(const std::vector<FaceMark>& marks) {
  MarksByCavity index;
  for (const FaceMark& mark : marks) index[mark.cavity].push_back(&mark);
  for (auto& [cavity, list] : index) {
    std::stable_sort(list.begin(), list.end(), [](const FaceMark* a, const FaceMark* b) {
      return urgency(a->mark) > urgency(b->mark);
    });
  }
  return index;
}

std::string title_of(const Connector& connector, const FaceOptions& options) {
  if (!options.title.empty()) return options.title;
  if (!connector.name.empty()) return connector.name;
  return connector.id.empty() ? "Connector" : connector.id;
}

std::string facts_of(const Connector& connector, const Face& face) {
  std::string facts =
      std::to_string(face.places.size()) + (face.places.size() == 1 ? " cavity" : " cavities");
  const auto add = [&](std::string_view before, const std::string& fact) {
    if (!fact.empty()) facts += "; " + std::string(before) + fact;
  };
  add("housing ", connector.housing_colour);
  add("part ", connector.part);
  if (connector.sealed) facts += "; sealed: every empty cavity contains a plug";
  if (connector.latch == Side::unknown) facts += "; latch side not stated";
  return facts + ".";
}

// Left and right in the source's text refer to the side that the source draws, whichever side this sheet
// shows.
std::string source_text_of(const Connector& connector) {
  if (connector.keying.empty() && connector.origin.empty()) return {};
  std::string text = "In the source's words, ";
  if (connector.view == View::wire_entry) text += "for the wire-entry side: ";
  if (connector.view == View::mating) text += "for the mating side: ";
  if (connector.view == View::unknown) text += "for a side it does not name: ";
  if (!connector.keying.empty()) text += "keying " + connector.keying;
  if (!connector.keying.empty() && !connector.origin.empty()) text += "; ";
  if (!connector.origin.empty()) text += "numbering " + connector.origin;
  return text + ".";
}

void write_cautions(FacePage& page, const Connector& connector, const Face& face) {
  const auto caution = [&](std::string_view text) { write_paragraph(page, text, 1.05, true, ink_alert); };
  if (connector.rows_guessed || face.geometry_assumed) caution("Layout guessed: check against the plug.");
  if (face.view_assumed) {
    caution(
        "The source does not say which side it draws; the wire-entry side was assumed. Check before use.");
  }
}

void write_mirror_warning(FacePage& page, View side) {
  write_paragraph(page,
                  side == View::wire_entry
                      ? "Mirror warning: on the mating side left and right change places."
                      : "Mirror warning: on the wire-entry side left and right change places.",
                  1.0, false, palette::text);
  page.y += 0.3 * page.unit;
}

void write_side(FacePage& page, View side) {
  const bool wires = side == View::wire_entry;
  const std::string seen = wires ? "Seen from the wire-entry side" : "Seen from the mating side";
  page.y += 0.4 * page.unit;
  write_paragraph(page, page.planned ? seen + ", as planned" : seen, 1.45, true, palette::text);
  write_mirror_warning(page, side);
}

void write_heading(FacePage& page, const Connector& connector, const Face& face, const FaceOptions& options) {
  write_paragraph(page, title_of(connector, options), 1.9, true, palette::text);
  write_paragraph(page, facts_of(connector, face), 1.0, false, palette::soft);
  const std::string source = source_text_of(connector);
  if (!source.empty()) write_paragraph(page, source, 1.0, false, palette::soft);
  write_cautions(page, connector, face);
}

std::string finish(const FacePage& page, const std::string& title) {
  const double width = std::max(page.left + page.width, page.widest) + page.margin;
  const double height = page.y + page.margin;
  Svg svg;
  svg.open("svg", {{"xmlns", "http://www.w3.org/2000/svg"},
                   {"viewBox", "0 0 " + print_number(width) + " " + print_number(height)},
                   {"width", print_number(width) + "mm"},
                   {"height", print_number(height) + "mm"},
                   {"role", "img"},
                   {"font-family", "DejaVu Sans, sans-serif"}});
  svg.title(title);
  write_wire_patterns(svg, page.ink);
  svg.empty("rect", {{"width", width}, {"height", height}, {"fill", palette::paper}});
  return svg.written() + page.svg.written() + "</svg>\n";
}

// A part of the plug, for a phone: the cavity has to be visible at once, so only one line is above it and the
// rest below.
std::string draw_part(FacePage& page, const Connector& connector, const std::vector<FaceMark>& marks,
                      const Face& face, const FaceOptions& options) {
  const MarksByCavity index = index_marks(marks);
  const auto asked = index.find(options.cavity);
  const std::string side = face.side == View::wire_entry ? "Wire-entry side" : "Mating side";
  write_paragraph(page, page.planned ? side + ", as planned" : side, 1.4, true, palette::text);
  write_cautions(page, connector, face);
  write_housing(page, connector, face, index, options.cavity);
  write_paragraph(page, cavity_text(options.cavity, asked == index.end() ? nullptr : &asked->second), 1.15,
                  true, palette::text);
  write_mirror_warning(page, face.side);
  write_legend(page, marks);
  return finish(page, title_of(connector, options));
}

// Legend and list, then the whole document.
std::string finish_with_list(FacePage& page, const Connector& connector, const std::vector<FaceMark>& marks,
                             const Face& face, const FaceOptions& options) {
  write_legend(page, marks);
  if (options.list) write_list(page, marks, face);
  return finish(page, title_of(connector, options));
}

}  // namespace

void draw::write_paragraph(FacePage& page, std::string_view text, double size, bool bold,
                           std::string_view fill) {
  const double height = size * page.unit;
  for (const std::string& line : wrap(text, page.width, height, bold)) {
    if (!line.empty())
      page.svg.text(page.left, page.y + 0.95 * height, line, {height, bold, Anchor::start, fill});
    page.y += 1.3 * height;
  }
}

std::string draw_face(const Connector& connector, const std::vector<FaceMark>& marks, View side,
                      const FaceOptions& options) {
  FacePage page = new_page(options);
  const Face face = face_of(connector, side);
  if (!options.cavity.empty()) return draw_part(page, connector, marks, face, options);
  write_heading(page, connector, face, options);
  write_side(page, face.side);
  write_housing(page, connector, face, index_marks(marks));
  return finish_with_list(page, connector, marks, face, options);
}

std::string draw_faces(const Connector& connector, const std::vector<FaceMark>& marks,
                       const FaceOptions& options) {
  FacePage page = new_page(options);
  const Face wires = face_of(connector, View::wire_entry);
  const Face mating = face_of(connector, View::mating);
  const MarksByCavity index = index_marks(marks);
  write_heading(page, connector, wires, options);

  const double whole = page.width;
  const double top = page.y;
  page.width = 0.5 * (whole - side_gap);
  const bool beside = lay_out(wires, cell_room(page, connector)).strips.size() <= 1;
  if (!beside) page.width = whole;
  write_side(page, View::wire_entry);
  write_housing(page, connector, wires, index);
  const double first_bottom = page.y;
  if (beside) {
    page.left += page.width + side_gap;
    page.y = top;
  } else {
    page.y += page.unit;
  }
  write_side(page, View::mating);
  write_housing(page, connector, mating, index);

  page.left = page.margin;
  page.width = whole;
  page.y = std::max(page.y, first_bottom);
  return finish_with_list(page, connector, marks, wires, options);
}

}  // namespace loomgraft
