#include "diagram/paper.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <set>

#include "tests/diagram/sample_graft.h"
#include "tests/draw/svg_reading.h"

namespace loomgraft::diagram_paper_test {
namespace {

using testing::HasSubstr;
using testing::Not;

struct Print {
  std::string name;
  std::set<std::string> wires;  // that must be drawn
  PaperDiagram diagram;
};

// What ends nowhere at all is on no drawing.
std::set<std::string> wires_of(const Graft& graft) {
  std::set<std::string> ids;
  for (const Wire& w : graft.wires) {
    if (!w.from.at.empty() || !w.to.at.empty()) ids.insert(w.id);
  }
  return ids;
}

const std::vector<Print>& all_prints() {
  static const std::vector<Print> prints = [] {
    std::vector<Print> made;
    const Graft hoist = hoist_graft();
    for (const bool portrait : {false, true}) {
      for (const Paper paper : {Paper::a4, Paper::a3}) {
        PaperOptions on;
        on.paper = paper;
        on.portrait = portrait;
        const std::string name =
            (paper == Paper::a4 ? " a4" : " a3") + std::string(portrait ? " upright" : "");
        made.push_back({"hoist" + name, wires_of(hoist), draw_diagram_on_paper(hoist, {}, on)});
        DiagramOptions difference;
        difference.show = DiagramShow::difference;
        difference.ink = WireInk::black;
        std::set<std::string> both = wires_of(hoist);
        both.insert("n1");
        made.push_back({"hoist difference" + name, both, draw_diagram_on_paper(hoist, difference, on)});
        made.push_back(
            {"relays" + name, wires_of(many_relays(30)), draw_diagram_on_paper(many_relays(30), {}, on)});
        for (std::uint64_t seed = 0; seed < 8; ++seed) {
          const Graft graft = random_graft(seed + (portrait ? 50 : 0), 6 + 12 * seed);
          DiagramOptions options;
          if (seed % 2 == 1) options.show = DiagramShow::difference;
          made.push_back({"random " + std::to_string(seed) + name, wires_of(graft),
                          draw_diagram_on_paper(graft, options, on)});
        }
      }
    }
    return made;
  }();
  return prints;
}

TEST(DiagramPaper, EveryWireIsOnASheet) {
  for (const Print& print : all_prints()) {
    std::string all;
    for (const PaperSheet& sheet : print.diagram.sheets) all += sheet.markup;
    for (const std::string& id : print.wires)
      EXPECT_THAT(all, HasSubstr("data-wire=\"" + id + "\"")) << print.name;
  }
}

struct Reference {
  std::string wire;
  std::size_t sheet;
  std::size_t to;
  std::string end;
};

std::vector<Reference> references_of(const PaperDiagram& diagram) {
  std::vector<Reference> found;
  for (std::size_t s = 0; s < diagram.sheets.size(); ++s) {
    const std::string& svg = diagram.sheets[s].markup;
    std::string wire;
    for (std::size_t at = svg.find("<g "); at != std::string::npos; at = svg.find("<g ", at + 1)) {
      const std::string tag = svg.substr(at, svg.find('>', at) - at);
      if (const std::string id = attribute(tag, "data-wire"); !id.empty()) wire = id;
      const std::string to = attribute(tag, "data-to-sheet");
      if (!to.empty()) found.push_back({wire, s + 1, std::stoul(to), attribute(tag, "data-end")});
    }
  }
  return found;
}

TEST(DiagramPaper, EveryReferenceHasExactlyOnePartner) {
  std::size_t met = 0;
  for (const Print& print : all_prints()) {
    const std::vector<Reference> all = references_of(print.diagram);
    met += all.size();
    for (const Reference& one : all) {
      const auto partner = [&](const Reference& other) {
        return other.wire == one.wire && other.sheet == one.to && other.to == one.sheet &&
               other.end != one.end;
      };
      EXPECT_EQ(std::count_if(all.begin(), all.end(), partner), 1) << print.name << " " << one.wire;
      const auto same = [&](const Reference& other) { return other.wire == one.wire; };
      EXPECT_EQ(std::count_if(all.begin(), all.end(), same), 2) << print.name << " " << one.wire;
    }
  }
  EXPECT_GT(met, 200U);
}

TEST(DiagramPaper, AWireWithoutAReferenceIsDrawnOnce) {
  for (const Print& print : all_prints()) {
    std::set<std::string> cut;
    for (const Reference& one : references_of(print.diagram)) cut.insert(one.wire);
    for (const std::string& id : print.wires) {
      std::set<std::size_t> sheets;
      for (std::size_t s = 0; s < print.diagram.sheets.size(); ++s) {
        for (const DiagramLine& line : print.diagram.sheets[s].lines) {
          if (line.wire == id && line.points.size() > 1) sheets.insert(s);
        }
      }
      EXPECT_LE(sheets.size(), cut.contains(id) ? 2U : 1U) << print.name << " " << id;
    }
  }
}

TEST(DiagramPaper, NothingIsOutsideTheFrame) {
  const double edge = paper_figure("bare_edge");
  for (const Print& print : all_prints()) {
    const double right = print.diagram.size.width - edge;
    const double bottom = print.diagram.size.height - edge;
    const double drawing_ends = bottom - 12.0;  // the title block
    for (const PaperSheet& sheet : print.diagram.sheets) {
      for (const TextBox& box : text_boxes(sheet.markup)) {
        EXPECT_TRUE(box.left >= edge && box.top >= edge && box.right <= right && box.bottom <= bottom)
            << print.name << ": " << box.text;
        EXPECT_TRUE(box.bottom < drawing_ends + 0.1 || box.top > drawing_ends)
            << print.name << ": " << box.text;
      }
      for (const DiagramLine& line : sheet.lines) {
        for (const auto& [x, y] : line.points)
          EXPECT_TRUE(x >= edge && y >= edge && x <= right && y <= drawing_ends) << print.name << line.wire;
      }
    }
  }
}

TEST(DiagramPaper, NoTextsOverlapOrCrossAWire) {
  for (const Print& print : all_prints()) {
    for (std::size_t s = 0; s < print.diagram.sheets.size(); ++s) {
      const PaperSheet& sheet = print.diagram.sheets[s];
      const std::vector<TextBox> boxes = text_boxes(sheet.markup);
      EXPECT_EQ(overlaps(boxes), "") << print.name << ", sheet " << s + 1;
      EXPECT_EQ(wires_through(boxes, sheet.lines), "") << print.name << ", sheet " << s + 1;
    }
  }
}

// ISO 3098-1 (data/paper.csv): capitals of 1.8 mm, names of 2.5 mm; rounding of the scale to 0.001.
TEST(DiagramPaper, LettersAreLargeEnoughToRead) {
  for (const Print& print : all_prints()) {
    if (!print.name.starts_with("hoist") && !print.name.starts_with("relays")) continue;
    EXPECT_TRUE(print.diagram.problems.empty()) << print.name;
    for (const PaperSheet& sheet : print.diagram.sheets) {
      for (const TextBox& box : text_boxes(sheet.markup))
        EXPECT_GE(capital_height * box.size, 1.8 - 0.002) << print.name << ": " << box.text;
    }
  }
  for (const TextBox& box : text_boxes(all_prints().front().diagram.sheets.back().markup)) {
    if (box.text == "Hoist controller") {
      EXPECT_GE(capital_height * box.size, 2.5 - 0.003);
    }
  }
}

std::size_t sheets_with(const PaperDiagram& diagram, const std::string& what) {
  return static_cast<std::size_t>(
      std::count_if(diagram.sheets.begin(), diagram.sheets.end(),
                    [&](const PaperSheet& sheet) { return sheet.markup.find(what) != std::string::npos; }));
}

TEST(DiagramPaper, PartsOnSeveralSheetsNameTheOthers) {
  std::size_t repeated = 0;
  for (const Print& print : all_prints()) {
    for (const PaperSheet& sheet : print.diagram.sheets) {
      for (const char* kind : {"data-device", "data-module", "data-connector", "data-path"}) {
        for (std::size_t at = sheet.markup.find("<g "); at != std::string::npos;
             at = sheet.markup.find("<g ", at + 1)) {
          const std::string tag = sheet.markup.substr(at, sheet.markup.find('>', at) - at);
          const std::string id = attribute(tag, kind);
          if (id.empty()) continue;
          const std::string words = sheet.markup.substr(at, sheet.markup.find("data-", at + tag.size()) - at);
          const bool says = words.find(">also on sheet") != std::string::npos;
          const std::size_t on = sheets_with(print.diagram, " " + std::string(kind) + "=\"" + id + "\"");
          if (std::string(kind) == "data-connector") continue;  // a mated pair goes by either name
          EXPECT_EQ(says, on > 1) << print.name << " " << id;
          repeated += says ? 1 : 0;
        }
      }
    }
  }
  EXPECT_GT(repeated, 50U);
}

TEST(DiagramPaper, ARelayItsLampAndItsCavityAreOnOneSheet) {
  const PaperDiagram diagram = draw_diagram_on_paper(many_relays(30), {}, {});
  EXPECT_GT(diagram.sheets.size(), 3U);
  for (int i = 1; i <= 30; ++i) {
    const std::string n = std::to_string(i);
    for (const PaperSheet& sheet : diagram.sheets) {
      const bool relay = sheet.markup.find("data-device=\"K" + n + "\"") != std::string::npos;
      EXPECT_EQ(relay, sheet.markup.find("data-device=\"E" + n + "\"") != std::string::npos) << n;
      EXPECT_EQ(relay, sheet.markup.find("data-pin=\"ecu.C " + n + "\"") != std::string::npos) << n;
    }
  }
}

TEST(DiagramPaper, TheIndexListsTheSheetsOfEveryDevice) {
  const PaperDiagram diagram = draw_diagram_on_paper(many_relays(30), {}, {});
  const std::vector<TextBox> index = text_boxes(diagram.sheets.front().markup);
  for (int i = 1; i <= 30; ++i) {
    const std::string name = "relay " + std::to_string(i);
    const auto entry = std::find_if(index.begin(), index.end(),
                                    [&](const TextBox& box) { return box.text.starts_with(name + ", C-"); });
    ASSERT_NE(entry, index.end()) << name;
    const std::size_t sheet = std::stoul(std::next(entry)->text);
    EXPECT_THAT(diagram.sheets[sheet - 1].markup, HasSubstr("data-device=\"K" + std::to_string(i) + "\""));
  }
}

TEST(DiagramPaper, OneSheetNeedsNoIndex) {
  DiagramOptions options;
  options.circuit = "B2";
  const PaperDiagram diagram = draw_diagram_on_paper(hoist_graft(), options, {});
  ASSERT_EQ(diagram.sheets.size(), 1U);
  EXPECT_THAT(diagram.sheets[0].markup, HasSubstr(">sheet 1 of 1</text>"));
  EXPECT_THAT(diagram.sheets[0].markup, Not(HasSubstr("data-to-sheet")));
  EXPECT_THAT(diagram.sheets[0].markup, Not(HasSubstr("also on")));
}

TEST(DiagramPaper, AModuleIsPrintedWithAllOfItsPins) {
  DiagramOptions options;
  options.module = "ctl";
  const PaperDiagram diagram = draw_diagram_on_paper(hoist_graft(), options, {});
  for (const char* cavity : {"1", "5", "8", "9", "10"})
    EXPECT_EQ(sheets_with(diagram, "data-pin=\"ctl.A " + std::string(cavity) + "\""), 1U) << cavity;
}

TEST(DiagramPaper, TheTitleBlockShowsWhatWasGiven) {
  PaperOptions paper;
  const std::string without = in_one_page(draw_diagram_on_paper(hoist_graft(), {}, paper));
  EXPECT_THAT(without, Not(HasSubstr("revision")));
  EXPECT_THAT(without, Not(HasSubstr("2031")));
  EXPECT_THAT(without, HasSubstr(">A hoist on a cart</text>"));
  EXPECT_THAT(without, HasSubstr(">Circuit diagram as found</text>"));
  paper.revision = "r17";
  paper.date = "2031-05-04";
  DiagramOptions options;
  options.show = DiagramShow::planned;
  const PaperDiagram diagram = draw_diagram_on_paper(hoist_graft(), options, paper);
  for (const PaperSheet& sheet : diagram.sheets) {
    EXPECT_THAT(sheet.markup, HasSubstr(">revision r17</text>"));
    EXPECT_THAT(sheet.markup, HasSubstr(">2031-05-04</text>"));
    EXPECT_THAT(sheet.markup, HasSubstr(">Circuit diagram as planned</text>"));
  }
}

TEST(DiagramPaper, OutputIsReproducible) {
  for (std::uint64_t seed = 0; seed < 4; ++seed)
    EXPECT_EQ(in_one_page(draw_diagram_on_paper(random_graft(seed, 50), {}, {})),
              in_one_page(draw_diagram_on_paper(random_graft(seed, 50), {}, {})));
}

TEST(DiagramPaper, PrintsInconsistentGrafts) {
  EXPECT_EQ(draw_diagram_on_paper({}, {}, {}).sheets.size(), 1U);
  DiagramOptions none;
  none.circuit = "no such circuit";
  const PaperDiagram nothing_there = draw_diagram_on_paper(hoist_graft(), none, {});
  ASSERT_EQ(nothing_there.problems.size(), 1U);
  EXPECT_EQ(nothing_there.problems[0].code, "no-such-circuit");
  EXPECT_THAT(nothing_there.sheets.front().markup, HasSubstr("There is no wire to draw."));
  Graft g = hoist_graft();
  g.wires.push_back(wire("self", {"S1", "1"}, {"S1", "1"}, "RD"));
  g.wires.push_back(wire("open", {}, {}, "RD"));
  g.wires.push_back(wire("", {"", "3"}, {"M1", ""}, ""));
  g.wires.push_back(wire("earths", {"G1", "1"}, {"G2", "1"}, "BN"));
  EXPECT_GE(draw_diagram_on_paper(g, {}, {}).sheets.size(), 2U);
}

TEST(DiagramPaper, PrintsTwoThousandWires) {
  const Graft g = random_graft(11, 2000, 3);
  std::size_t wires = 0;
  for (const PaperSheet& sheet : draw_diagram_on_paper(g, {}, {}).sheets) wires += sheet.wires;
  EXPECT_GE(wires, 2000U);
}

TEST(DiagramPaper, IsWellFormedAndEscapesNames) {
  Graft nasty = hoist_graft();
  nasty.title = nasty.vehicle.name = nasty_name;
  for (Device& d : nasty.devices) d.name = nasty_name;
  for (Wire& w : nasty.wires) w.signal = w.colour.raw = nasty_name;
  nasty.modules[0].name = nasty_name;
  nasty.wires.push_back(wire(nasty_name, {nasty_name, nasty_name}, {"ctl.A", nasty_name}, nasty_name));
  const PaperDiagram diagram = draw_diagram_on_paper(nasty, {}, {Paper::a4, false, nasty_name, nasty_name});
  std::vector<std::string> files;
  const auto write = [&](const std::string& name, const std::string& svg) {
    files.push_back(testing::TempDir() + name);
    std::ofstream(files.back()) << svg;
  };
  for (std::size_t s = 0; s < diagram.sheets.size(); ++s)
    write("paper-nasty" + std::to_string(s) + ".svg", on_its_own(diagram, diagram.sheets[s]));
  write("paper-nasty-all.svg", in_one_drawing(diagram));
  EXPECT_EQ(well_formed(files), static_cast<int>(files.size()));
  EXPECT_THAT(in_one_page(diagram), Not(HasSubstr("<img")));
}

}  // namespace
}  // namespace loomgraft::diagram_paper_test
