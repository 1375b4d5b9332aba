#include "diagram/diagram.h"

#include <algorithm>
#include <cmath>

#include "diagram/layout.h"
#include "draw/palette.h"
#include "draw/text_extent.h"

namespace loomgraft {

using namespace diagram;
namespace {

constexpr double margin = 6.0;  // mm
constexpr double smallest_width = 40.0;

// What a sheet gives up to be narrower.
struct Level {
  bool joints_apart;
  bool full_labels;
  bool grommets;
  double signal_width;  // mm
  double beside_width;
  double stub_width;
  double module_width;
};

// From the fullest to the narrowest. Where labels or grommets are left out, a list of the wires names them.
constexpr Level levels[] = {{true, true, true, 42.0, 34.0, 50.0, 36.0},
                            {false, true, true, 32.0, 28.0, 40.0, 36.0},
                            {false, false, true, 24.0, 22.0, 26.0, 30.0},
                            {false, true, false, 24.0, 22.0, 40.0, 30.0},
                            {false, false, false, 22.0, 20.0, 22.0, 26.0}};

SheetStyle style_of(const DiagramOptions& options, std::size_t level) {
  SheetStyle style;
  style.ink = options.ink;
  const Level& chosen = levels[level];
  style.joints_apart = chosen.joints_apart;
  style.full_labels = chosen.full_labels;
  style.grommets = chosen.grommets;
  style.signal_width = chosen.signal_width;
  style.beside_width = chosen.beside_width;
  style.stub_width = chosen.stub_width;
  style.module_width = chosen.module_width;
  style.heavy = options.show == DiagramShow::difference;
  return style;
}

std::string state_line(const Graft& graft, const DiagramOptions& options) {
  std::string line = state_text(options.show);
  const bool titled = !options.circuit.empty() || !options.module.empty();
  if (titled && !graft.title.empty()) line += ". " + graft.title;
  if (!graft.vehicle.name.empty()) line += ". " + graft.vehicle.name;
  return line + ".";
}

// ---- the page around the drawing

struct Page {
  Svg svg;
  double width = 0.0;
  double y = margin;
  double text = 2.2;

  void lines(std::string_view text_lines, double size, bool bold, std::string_view fill) {
    for (const std::string& line : wrap(text_lines, width - 2.0 * margin, size, bold)) {
      if (!line.empty()) svg.text(margin, y + 0.95 * size, line, {size, bold, Anchor::start, fill});
      y += 1.3 * size;
    }
  }
};

// What the strokes of a difference mean, in a row that breaks where the sheet ends.
void write_difference_key(Page& page) {
  struct Entry {
    Mark mark;
    const char* text;
  };
  constexpr Entry entries[] = {{Mark::add, "added: heavy"},
                               {Mark::retire, "retired: grey, dashed, crossed"},
                               {Mark::shift, "moved: the old place dotted"}};
  double x = margin;
  page.y += 0.6 * page.text;
  for (const Entry& entry : entries) {
    const double width = 1.6 * page.text + text_width(entry.text, page.text) + 6.0;
    if (x > margin && x + width > page.width - margin) {
      x = margin;
      page.y += 1.5 * page.text;
    }
    write_mark(page.svg, entry.mark, x + 0.5 * page.text, page.y + 0.6 * page.text, page.text);
    page.svg.text(x + 1.5 * page.text, page.y + 0.95 * page.text, entry.text,
                  {page.text, false, Anchor::start, palette::text});
    x += width;
  }
  page.y += 1.6 * page.text;
}

// What the drawing leaves out is listed below it.
void write_wire_list(Page& page, const DiagramSheet& sheet) {
  page.y += page.text;
  page.lines("Wires", 1.15 * page.text, true, palette::text);
  for (const ChosenWire& chosen : sheet.choice->wires) {
    const Wire& wire = chosen.wire;
    const auto end = [&](const WireEnd& e) { return e.at.empty() ? "open end" : text_of(*sheet.index, e); };
    const auto openings = [&](const Wire& w) {
      std::string text;
      for (const LoomPath* path : sheet.index->openings_on(w))
        text += (text.empty() ? ", through " : " and ") + path->id;
      return text;
    };
    page.lines(label_of(wire) + ": " + end(wire.from) + " to " + end(wire.to) +
                   (wire.signal.empty() ? "" : ", " + wire.signal) + openings(wire) + suffix_of(chosen.state),
               page.text, false, palette::text);
  }
}

bool leaves_grommets_out(const DiagramSheet& sheet) {
  if (sheet.style.grommets) return false;
  return std::any_of(sheet.choice->wires.begin(), sheet.choice->wires.end(), [&](const ChosenWire& chosen) {
    return !sheet.index->openings_on(chosen.wire).empty();
  });
}

void write_drawing(Page& page, const DiagramSheet& sheet) {
  page.svg.open("g", {{"transform", "translate(" + print_number(margin) + " " + print_number(page.y) + ")"}});
  write_underlays(page.svg, sheet);
  write_wires(page.svg, sheet);
  write_parts(page.svg, sheet);
  page.svg.close("g");
  page.y += sheet.places.height;
}

std::string finish(const Page& page, const std::string& title, double scale, Diagram& diagram) {
  const double height = page.y + margin;
  diagram.width_mm = page.width * scale;
  diagram.height_mm = height * scale;
  diagram.scale = scale;
  Svg svg;
  svg.open("svg", {{"xmlns", "http://www.w3.org/2000/svg"},
                   {"viewBox", "0 0 " + print_number(page.width) + " " + print_number(height)},
                   {"width", print_number(diagram.width_mm) + "mm"},
                   {"height", print_number(diagram.height_mm) + "mm"},
                   {"role", "img"},
                   {"font-family", "DejaVu Sans, sans-serif"}});
  svg.title(title);
  svg.empty("rect", {{"width", page.width}, {"height", height}, {"fill", palette::paper}});
  return svg.written() + page.svg.written() + "</svg>\n";
}

void write_page(const Graft& graft, const DiagramOptions& options, const Laid& laid, double asked,
                double growth, Diagram& diagram) {
  const DiagramSheet& sheet = laid.sheet;
  Page page;
  page.text = sheet.style.text;
  page.width =
      std::max({sheet.width + 2.0 * margin, smallest_width, asked > 0.0 ? std::min(asked, 100.0) : 100.0});
  const std::string title = title_of(graft, options);
  page.lines(title, 1.9 * page.text, true, palette::text);
  page.lines(state_line(graft, options), page.text, false, palette::soft);
  if (options.show == DiagramShow::difference) write_difference_key(page);
  page.y += 1.4 * page.text;
  if (sheet.found->parts.empty()) {
    page.lines("There is no wire to draw.", 1.2 * page.text, false, palette::text);
  } else {
    diagram.lines = lines_of(sheet, margin, page.y, 1.0);
    write_drawing(page, sheet);
  }
  if (!sheet.style.full_labels || leaves_grommets_out(sheet)) write_wire_list(page, sheet);
  page.y += 1.2 * page.text;
  page.lines("Wires join only at dots and terminals. Colour letters: IEC 60757.", 0.9 * page.text, false,
             palette::soft);
  const double scale = growth * (asked > 0.0 ? std::min(1.0, asked / page.width) : 1.0);
  diagram.svg = finish(page, title, scale, diagram);
}

Diagram draw_state(const Graft& graft, const DiagramOptions& options) {
  Diagram diagram;
  const DiagramIndex index(graft);
  Choice choice = choose_wires(graft, index, options);
  PartsAndHops found = find_parts(graft, index, choice);
  const bool limited = std::isfinite(options.width_mm) && options.width_mm > 0.0;
  const double growth =
      std::isfinite(options.text_mm) ? std::clamp(options.text_mm, 1.0, 20.0) / SheetStyle::text : 1.0;
  const double asked = limited ? std::clamp(options.width_mm, smallest_width, 5000.0) / growth : 0.0;
  Laid laid = lay_out(graft, index, choice, found, style_of(options, 0));
  for (std::size_t level = 1; level < std::size(levels) && limited && laid.sheet.width + 2.0 * margin > asked;
       ++level) {
    if (levels[level].grommets != levels[level - 1].grommets)
      found = find_parts(graft, index, choice, levels[level].grommets);
    laid = lay_out(graft, index, choice, found, style_of(options, level));
  }
  write_page(graft, options, laid, asked, growth, diagram);
  diagram.crossings = laid.order.crossings;
  diagram.fewest = laid.order.proven;
  diagram.problems = std::move(choice.problems);
  if (diagram.scale < 0.999 * growth) {
    const std::string needed = print_number(std::ceil(diagram.width_mm / diagram.scale * growth));
    diagram.problems.push_back({Severity::note,
                                "drawn-smaller",
                                {"", 0, 0, ""},
                                "The diagram needs a sheet " + needed + " mm wide and was drawn smaller.",
                                "Ask for a wider sheet, or for one module or circuit."});
  }
  return diagram;
}

}  // namespace

Diagram draw_diagram(const Graft& graft, const DiagramOptions& options) {
  DiagramOptions asked = options;
  const std::optional<Graft> planned = loom_to_draw(graft, asked);
  return draw_state(planned ? *planned : graft, asked);
}

}  // namespace loomgraft
