#include "diagram/paper.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "diagram/cut.h"
#include "diagram/frame.h"
#include "diagram/layout.h"
#include "draw/text_extent.h"
#include "text/natural_order.h"

namespace loomgraft {

using namespace diagram;
namespace {

constexpr std::size_t some_sheet = 88;  // placeholder for a number that is not known yet
constexpr std::size_t saved = 3;        // crossings that a narrower layout must save, and one more
constexpr double most_growth = 1.2;     // of letters, where a sheet has room

// What a sheet looks like, from the fullest to the narrowest.
SheetStyle paper_style(const DiagramOptions& options, std::size_t level) {
  SheetStyle style;
  constexpr double signals[] = {42.0, 34.0, 28.0};  // mm before growth
  constexpr double besides[] = {40.0, 34.0, 28.0};
  constexpr double stubs[] = {70.0, 58.0, 48.0};
  style.joints_apart = level == 0;
  style.signal_width = signals[level];
  style.beside_width = besides[level];
  style.stub_width = stubs[level];
  style.module_width = 34.0;
  style.title_lines = 2;
  style.small = style.lead_text = 1.0;
  style.names = paper_figure("name_letter") / paper_figure("least_letter");
  style.heavy = options.show == DiagramShow::difference;
  style.ink = options.ink;
  return style;
}
constexpr std::size_t style_levels = 3;

// For tests of the size: little search, since crossings do not matter.
constexpr OrderOptions little_effort{4, 2, 0, 0, 0};

struct SheetParts {
  Choice choice;
  PartsAndHops found;
};

class Cutter {
 public:
  Cutter(const Graft& graft, const DiagramOptions& options, const DrawingArea& area)
      : graft_(graft),
        options_(options),
        area_(area),
        index_(graft),
        choice_(choose_wires(graft, index_, options)),
        scale_(smallest_text() / SheetStyle::text) {
    const double rows = (area_.height / scale_ - 40.0) / SheetStyle{}.pitch();
    graph_ = cut_graph(index_, choice_, static_cast<std::size_t>(std::max(2.0, rows)));
  }

  void cut() {
    sets_ = cut_into_sheets(graph_, [&](const NodeSet& set) { return fits(set); });
  }

  const DiagramIndex& index() const { return index_; }
  const std::vector<NodeSet>& sets() const { return sets_; }
  const CutGraph& graph() const { return graph_; }
  const Choice& choice() const { return choice_; }
  double scale() const { return scale_; }

  // Problems of the whole document, reported once.
  Problems problems() {
    Choice whole = choice_;
    find_parts(graft_, index_, whole);
    return std::move(whole.problems);
  }

  // The parts of each sheet; the first of them has the number `first`.
  std::vector<SheetParts> parts_of_sheets(std::size_t first) const {
    std::vector<std::size_t> sheet_of(graph_.nodes.size(), some_sheet);
    for (std::size_t s = 0; s < sets_.size(); ++s) {
      for (const std::size_t node : sets_[s]) sheet_of[node] = first + s;
    }
    std::vector<SheetParts> sheets;
    std::map<PartKey, std::vector<std::size_t>> stands_on;
    for (std::size_t s = 0; s < sets_.size(); ++s) {
      sheets.push_back(parts_of(sets_[s], sheet_of));
      for (const DiagramPart& part : sheets.back().found.parts) stands_on[part.key].push_back(first + s);
    }
    for (std::size_t s = 0; s < sheets.size(); ++s) {
      for (DiagramPart& part : sheets[s].found.parts) {
        part.also = stands_on[part.key];
        std::erase(part.also, first + s);
      }
    }
    return sheets;
  }

  Laid lay(const SheetParts& parts, std::size_t level, const OrderOptions& effort) const {
    return lay_out(graft_, index_, parts.choice, parts.found, paper_style(options_, level), effort);
  }

  // The share of its size at which the drawing fits.
  double room_for(const DiagramSheet& sheet) const {
    return std::min(area_.width / std::max(sheet.width, 1.0),
                    area_.height / std::max(sheet.places.height, 1.0));
  }

 private:
  SheetParts parts_of(const NodeSet& set, const std::vector<std::size_t>& sheet_of) const {
    SheetParts parts;
    std::set<std::size_t> wires;
    parts.choice.modules = choice_.modules;
    parts.choice.pins.emplace();
    for (const std::size_t n : set) {
      wires.insert(graph_.nodes[n].wires.begin(), graph_.nodes[n].wires.end());
      if (!graph_.nodes[n].pin.at.empty()) parts.choice.pins->insert(graph_.nodes[n].pin);
    }
    for (const std::size_t w : wires) {
      parts.choice.wires.push_back(choice_.wires[w]);
      for (std::size_t e = 0; e < 4; ++e) {
        const std::size_t node = graph_.node_of[w][e];
        const bool here = std::binary_search(set.begin(), set.end(), node);
        parts.choice.wires.back().away[e] = here ? 0 : sheet_of[node];
      }
    }
    parts.found = find_parts(graft_, index_, parts.choice);
    return parts;
  }

  bool fits(const NodeSet& set) const {
    SheetParts parts = parts_of(set, std::vector<std::size_t>(graph_.nodes.size(), some_sheet));
    for (DiagramPart& part : parts.found.parts) {
      if (graph_.split.contains(part.key) || part.device == nullptr || part.shape == PartShape::earth)
        part.also.assign(12, some_sheet);
    }
    for (std::size_t level = 0; level < style_levels; ++level) {
      if (room_for(lay(parts, level, little_effort).sheet) >= scale_) return true;
    }
    return false;
  }

  const Graft& graft_;
  const DiagramOptions& options_;
  DrawingArea area_;
  DiagramIndex index_;
  Choice choice_;
  double scale_;
  CutGraph graph_;
  std::vector<NodeSet> sets_;
};

// ---- what is where

bool is_circuit(const DiagramPart& part) {
  return part.device != nullptr && part.shape != PartShape::joint && part.shape != PartShape::earth;
}

std::vector<std::string> names_on(const SheetParts& sheet) {
  std::vector<std::string> names;
  for (const DiagramPart& part : sheet.found.parts) {
    if (is_circuit(part)) names.push_back(part.name);
  }
  if (names.empty()) {
    for (const DiagramPart& part : sheet.found.parts) names.push_back(part.name);
  }
  std::sort(names.begin(), names.end(), [](const std::string& a, const std::string& b) {
    const int order = natural_compare(a, b);
    return order != 0 ? order < 0 : a < b;
  });
  names.erase(std::unique(names.begin(), names.end()), names.end());
  return names;
}

std::string list_of(const std::vector<std::string>& names) {
  std::string list;
  for (const std::string& name : names) list += (list.empty() ? "" : ", ") + name;
  return list;
}

// Cavities of modules that the wires of a device go to.
std::string cavities_of(const DiagramIndex& index, const SheetParts& sheet, const DiagramPart& part) {
  std::vector<std::string> cavities;
  for (const ChosenWire& chosen : sheet.choice.wires) {
    for (std::size_t e = 0; e < 2; ++e) {
      if (chosen.end(e).at != part.id || index.module_of(chosen.end(1 - e).at) == nullptr) continue;
      cavities.push_back(text_of(index, chosen.end(1 - e)));
    }
  }
  return list_of(cavities);
}

std::vector<IndexLine> index_lines(const Cutter& cutter, const std::vector<SheetParts>& sheets,
                                   std::size_t first, const DrawingArea& area) {
  std::vector<IndexLine> lines{{"Circuits by sheet", "sheet", true}};
  for (std::size_t s = 0; s < sheets.size(); ++s) {
    std::string number = std::to_string(first + s);
    for (std::string& line : wrap(list_of(names_on(sheets[s])), index_width(area), smallest_text()))
      lines.push_back({std::move(line), std::exchange(number, ""), false});
  }
  struct Entry {
    std::string text;
    std::string sheets;
  };
  std::map<PartKey, Entry> by_key;
  for (std::size_t s = 0; s < sheets.size(); ++s) {
    for (const DiagramPart& part : sheets[s].found.parts) {
      if (part.device == nullptr) continue;
      Entry& entry = by_key[part.key];
      if (entry.text.empty()) entry.text = part.name;
      const std::string cavities = cavities_of(cutter.index(), sheets[s], part);
      if (!cavities.empty()) entry.text += ", " + cavities;
      entry.sheets += (entry.sheets.empty() ? "" : ", ") + std::to_string(first + s);
    }
  }
  std::vector<Entry> entries;
  entries.reserve(by_key.size());
  for (auto& [key, entry] : by_key) entries.push_back(std::move(entry));
  std::stable_sort(entries.begin(), entries.end(),
                   [](const Entry& a, const Entry& b) { return natural_compare(a.text, b.text) < 0; });
  lines.push_back({"", "", false});
  lines.push_back({"Devices and their cavities", "sheet", true});
  for (Entry& entry : entries) lines.push_back({std::move(entry.text), std::move(entry.sheets), false});
  return lines;
}

// ---- sheets

// All layouts; of those that fit the fullest, unless another has clearly fewer crossings; if none fits, the
// one with the largest letters. The layout of the test of size is among them: a better order may need more
// height.
Laid best_layout(const Cutter& cutter, const SheetParts& parts) {
  std::optional<Laid> best;
  for (const OrderOptions& effort : {OrderOptions{}, little_effort}) {
    for (std::size_t level = 0; level < style_levels; ++level) {
      Laid other = cutter.lay(parts, level, effort);
      const double other_room = cutter.room_for(other.sheet);
      const double room = best ? cutter.room_for(best->sheet) : 0.0;
      const bool both = std::min(room, other_room) >= cutter.scale();
      const bool better = both ? other.order.crossings + saved < best->order.crossings : other_room > room;
      if (!best || better) best = std::move(other);
    }
    if (cutter.room_for(best->sheet) >= cutter.scale()) break;
  }
  return std::move(*best);
}

PaperSheet draw_sheet(const Cutter& cutter, const SheetParts& parts, PaperSize size, const FrameText& text) {
  PaperSheet sheet;
  const Laid laid = best_layout(cutter, parts);
  const DrawingArea area = drawing_area(size);
  const double scale = std::min(most_growth * cutter.scale(), cutter.room_for(laid.sheet));
  Svg svg;
  write_frame(svg, size, text);
  svg.open("g", {{"transform", "translate(" + print_number(area.left) + " " + print_number(area.top) +
                                   ") scale(" + print_number(scale) + ")"}});
  write_underlays(svg, laid.sheet);
  write_wires(svg, laid.sheet);
  write_parts(svg, laid.sheet);
  svg.close("g");
  sheet.lines = lines_of(laid.sheet, area.left, area.top, scale);
  sheet.markup = svg.written();
  sheet.wires = parts.choice.wires.size();
  sheet.crossings = laid.order.crossings;
  sheet.letters_mm = scale * SheetStyle::text * capital_height;
  return sheet;
}

FrameText frame_text(const Graft& graft, const DiagramOptions& options, const PaperOptions& paper) {
  FrameText text;
  text.title = title_of(graft, options);
  text.vehicle = graft.vehicle.name;
  if (text.title != graft.title && !graft.title.empty())
    text.vehicle = graft.title + (text.vehicle.empty() ? "" : ", " + text.vehicle);
  text.state = state_text(options.show);
  if (options.show == DiagramShow::difference)
    text.note = "Added: heavy. Retired: dashed, crossed. Moved: old place dotted.";
  text.revision = paper.revision;
  text.date = paper.date;
  return text;
}

// A sheet of the index.
PaperSheet page_sheet(PaperSize size, const FrameText& text, const std::string& page) {
  Svg svg;
  write_frame(svg, size, text);
  PaperSheet sheet;
  sheet.markup = svg.written() + page;
  sheet.letters_mm = paper_figure("least_letter");
  return sheet;
}

void report_small(const PaperSheet& sheet, std::size_t number, PaperDiagram& diagram) {
  if (sheet.letters_mm > 0.999 * paper_figure("least_letter")) return;
  diagram.problems.push_back(
      {Severity::note,
       "drawn-smaller",
       {"", 0, 0, ""},
       "Sheet " + std::to_string(number) + " does not hold its circuit at the normal text size.",
       "Print on larger paper."});
}

PaperDiagram draw_on_paper(const Graft& graft, const DiagramOptions& options, const PaperOptions& paper) {
  PaperDiagram diagram;
  diagram.size = size_of(paper.paper, paper.portrait);
  FrameText text = frame_text(graft, options, paper);
  diagram.title = text.title;
  const DrawingArea area = drawing_area(diagram.size);
  Cutter cutter(graft, options, area);
  diagram.problems = cutter.problems();
  cutter.cut();
  const bool several = cutter.sets().size() > 1;
  // The length of the index shifts the sheet numbers that it lists.
  std::size_t first = several ? 2 : 1;
  std::vector<SheetParts> parts = cutter.parts_of_sheets(first);
  std::vector<std::string> index;
  if (several) index = write_index(area, index_lines(cutter, parts, first, area));
  while (several && index.size() + 1 != first) {
    first = index.size() + 1;
    parts = cutter.parts_of_sheets(first);
    index = write_index(area, index_lines(cutter, parts, first, area));
  }
  if (parts.empty()) index = write_index(area, {{"There is no wire to draw.", "", true}});
  text.of = index.size() + parts.size();
  text.contents = several ? "Index" : "";
  for (const std::string& page : index) {
    diagram.sheets.push_back(page_sheet(diagram.size, text, page));
    ++text.number;
  }
  for (const SheetParts& sheet : parts) {
    text.contents = list_of(names_on(sheet));
    diagram.sheets.push_back(draw_sheet(cutter, sheet, diagram.size, text));
    report_small(diagram.sheets.back(), text.number, diagram);
    ++text.number;
  }
  return diagram;
}

}  // namespace

PaperDiagram draw_diagram_on_paper(const Graft& graft, const DiagramOptions& options,
                                   const PaperOptions& paper) {
  DiagramOptions asked = options;
  const std::optional<Graft> planned = loom_to_draw(graft, asked);
  return draw_on_paper(planned ? *planned : graft, asked, paper);
}

}  // namespace loomgraft
