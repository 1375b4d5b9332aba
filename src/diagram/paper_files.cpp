#include "diagram/paper.h"

namespace loomgraft {
namespace {

constexpr std::string_view white = "#ffffff";

// `size` as the surroundings count: with "mm" on its own, without as a part of a drawing in millimetres.
void open_sheet(Svg& svg, const PaperDiagram& diagram, double y, const std::string& unit) {
  const std::string width = print_number(diagram.size.width);
  const std::string height = print_number(diagram.size.height);
  svg.open("svg", {{"xmlns", "http://www.w3.org/2000/svg"},
                   {"class", "paper"},
                   {"y", y},
                   {"viewBox", "0 0 " + width + " " + height},
                   {"width", width + unit},
                   {"height", height + unit},
                   {"role", "img"},
                   {"font-family", "DejaVu Sans, sans-serif"}});
  svg.title(diagram.title);
  svg.empty("rect", {{"width", diagram.size.width}, {"height", diagram.size.height}, {"fill", white}});
}

}  // namespace

std::string on_its_own(const PaperDiagram& diagram, const PaperSheet& sheet) {
  Svg svg;
  open_sheet(svg, diagram, 0.0, "mm");
  return svg.written() + sheet.markup + "</svg>\n";
}

std::string in_one_drawing(const PaperDiagram& diagram) {
  const double height = diagram.size.height * static_cast<double>(diagram.sheets.size());
  Svg outer;
  outer.open("svg", {{"xmlns", "http://www.w3.org/2000/svg"},
                     {"viewBox", "0 0 " + print_number(diagram.size.width) + " " + print_number(height)},
                     {"width", print_number(diagram.size.width) + "mm"},
                     {"height", print_number(height) + "mm"},
                     {"role", "img"}});
  outer.title(diagram.title);
  std::string all = outer.written();
  double y = 0.0;
  for (const PaperSheet& sheet : diagram.sheets) {
    Svg svg;
    open_sheet(svg, diagram, y, "");
    all += svg.written() + sheet.markup + "</svg>\n";
    y += diagram.size.height;
  }
  return all + "</svg>\n";
}

std::string in_one_page(const PaperDiagram& diagram) {
  const std::string size =
      print_number(diagram.size.width) + "mm " + print_number(diagram.size.height) + "mm";
  std::string page = "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>" +
                     escape_xml(diagram.title) + "</title><style>@page{size:" + size +
                     ";margin:0}body{margin:0}svg{display:block;break-after:page;break-inside:avoid}"
                     "svg:last-child{break-after:auto}</style></head><body>\n";
  for (const PaperSheet& sheet : diagram.sheets) page += on_its_own(diagram, sheet);
  return page + "</body></html>\n";
}

}  // namespace loomgraft
