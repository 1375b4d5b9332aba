#include "diagram/diagram.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <map>

#include "tests/diagram/sample_graft.h"
#include "tests/draw/svg_reading.h"

namespace loomgraft::diagram_diagram_test {
namespace {

using testing::HasSubstr;
using testing::Not;

struct Sheet {
  std::string name;
  Diagram diagram;
};

std::vector<Sheet> all_sheets() {
  std::vector<Sheet> sheets;
  const Graft hoist = hoist_graft();
  for (const DiagramShow show : {DiagramShow::found, DiagramShow::planned, DiagramShow::difference}) {
    for (const double width : {0.0, 400.0, 190.0, 90.0}) {
      DiagramOptions options;
      options.show = show;
      options.width_mm = width;
      options.ink = width == 400.0 ? WireInk::black : WireInk::colour;
      sheets.push_back({"hoist " + std::to_string(static_cast<int>(show)) + " " + std::to_string(width),
                        draw_diagram(hoist, options)});
    }
  }
  for (std::uint64_t seed = 0; seed < 25; ++seed) {
    DiagramOptions options;
    options.show = seed % 2 == 0 ? DiagramShow::difference : DiagramShow::found;
    options.width_mm = seed % 3 == 0 ? 150.0 : 0.0;
    sheets.push_back(
        {"random " + std::to_string(seed), draw_diagram(random_graft(seed, 6 + 2 * seed), options)});
  }
  Graft bare = hoist;
  bare.wires.clear();
  bare.plan.clear();
  sheets.push_back({"pins only", draw_diagram(bare)});
  return sheets;
}

TEST(Diagram, NoTextsOverlapOrLeaveTheSheet) {
  for (const Sheet& sheet : all_sheets()) {
    const std::vector<TextBox> boxes = text_boxes(sheet.diagram.svg);
    ASSERT_GT(boxes.size(), 5U) << sheet.name;
    const double wide = sheet.diagram.width_mm / sheet.diagram.scale;
    const double high = sheet.diagram.height_mm / sheet.diagram.scale;
    for (const TextBox& a : boxes)
      EXPECT_TRUE(a.left >= 0 && a.top >= 0 && a.right <= wide && a.bottom <= high)
          << sheet.name << ": " << a.text;
    EXPECT_EQ(overlaps(boxes), "") << sheet.name;
  }
}

TEST(Diagram, NoWireRunsThroughAText) {
  for (const Sheet& sheet : all_sheets())
    EXPECT_EQ(wires_through(text_boxes(sheet.diagram.svg), sheet.diagram.lines), "") << sheet.name;
}

TEST(Diagram, WiresAreLevelAndUprightStrokesOnly) {
  for (const Sheet& sheet : all_sheets()) {
    for (const DiagramLine& line : sheet.diagram.lines) {
      ASSERT_GE(line.points.size(), 1U) << sheet.name;
      for (std::size_t i = 1; i < line.points.size(); ++i) {
        const auto& [x1, y1] = line.points[i - 1];
        const auto& [x2, y2] = line.points[i];
        EXPECT_TRUE((std::abs(x1 - x2) < 1e-6) != (std::abs(y1 - y2) < 1e-6))
            << sheet.name << " " << line.wire;
      }
    }
  }
}

TEST(Diagram, EveryWireDeviceAndPinIsDrawnOnce) {
  const Graft g = hoist_graft();
  const Diagram diagram = draw_diagram(g);
  for (const Wire& w : g.wires) EXPECT_EQ(count_of(diagram.svg, "data-wire=\"" + w.id + "\""), 1U) << w.id;
  for (const Device& d : g.devices)
    EXPECT_EQ(count_of(diagram.svg, "data-device=\"" + d.id + "\""), 1U) << d.id;
  for (const Module& m : g.modules)
    EXPECT_EQ(count_of(diagram.svg, "data-module=\"" + m.id + "\""), 1U) << m.id;
  EXPECT_EQ(count_of(diagram.svg, "data-pin=\"ctl.A 1\""), 1U);
  EXPECT_EQ(count_of(diagram.svg, "data-pin=\"ctl.B 9\""), 1U);
  EXPECT_EQ(count_of(diagram.svg, "data-pin=\"gate.P 3\""), 1U);
  EXPECT_EQ(count_of(diagram.svg, "data-path=\"floor\""), 1U);
  EXPECT_TRUE(diagram.problems.empty());
}

// A wire's line, hop after hop: whole from its first terminal to its last but for the parts between.
TEST(Diagram, AWireGoesFromItsFirstEndThroughTheGrommetToItsLast) {
  const Diagram diagram = draw_diagram(hoist_graft());
  std::map<std::string, std::vector<const DiagramLine*>> lines;
  for (const DiagramLine& line : diagram.lines) lines[line.wire].push_back(&line);
  ASSERT_EQ(lines.at("w23").size(), 2U) << "one hop to the grommet, one from it";
  EXPECT_EQ(lines.at("w23")[0]->points.back(), lines.at("w23")[1]->points.front());
  ASSERT_EQ(lines.at("w12").size(), 1U);
  EXPECT_EQ(lines.size(), hoist_graft().wires.size());
}

TEST(Diagram, SizeLengthAndColourAreOnTheWire) {
  const Diagram diagram = draw_diagram(hoist_graft());
  EXPECT_THAT(diagram.svg, HasSubstr(">0.75 mm² 2.4 m BN/GN</text>"));
  EXPECT_THAT(diagram.svg, HasSubstr(">0.75 mm² YE/BK</text>")) << "what is not known is left out";
  EXPECT_THAT(diagram.svg, HasSubstr("Y/L?")) << "a colour that could not be read stays as it was written";
  EXPECT_THAT(diagram.svg, HasSubstr(">20 A, cab</text>"));
  EXPECT_THAT(diagram.svg, HasSubstr(">leave alone</text>"));
}

TEST(Diagram, TheDifferenceMarksAddedRetiredAndMovedWires) {
  DiagramOptions options;
  options.show = DiagramShow::difference;
  const std::string svg = draw_diagram(hoist_graft(), options).svg;
  EXPECT_THAT(svg, HasSubstr("YE/BU added</text>"));
  EXPECT_THAT(svg, HasSubstr("Y/L? retired</text>"));
  EXPECT_THAT(svg, HasSubstr("GY/WH moved from A-2</text>"));
  EXPECT_THAT(svg, HasSubstr(">was here, moved to A-8</text>"));
  EXPECT_EQ(count_of(svg, "class=\"wire added\""), 1U);
  EXPECT_EQ(count_of(svg, "class=\"wire retired\""), 1U);
  EXPECT_EQ(count_of(svg, "class=\"wire moved\""), 2U);
  options.show = DiagramShow::planned;
  const std::string planned = draw_diagram(hoist_graft(), options).svg;
  EXPECT_THAT(planned, HasSubstr("data-wire=\"n1\""));
  EXPECT_THAT(planned, Not(HasSubstr("data-wire=\"w28\"")));
  EXPECT_THAT(planned, Not(HasSubstr("moved")));
}

TEST(Diagram, BlackInkUsesNoColours) {
  DiagramOptions options;
  options.ink = WireInk::black;
  const std::string svg = draw_diagram(hoist_graft(), options).svg;
  for (const char* letters : {"RD", "YE", "GN", "BU", "OG", "PK"})
    EXPECT_THAT(svg, Not(HasSubstr(paint_of(letters).fill))) << letters;
  EXPECT_THAT(svg, HasSubstr("RD/YE</text>"));
}

TEST(Diagram, ACircuitReachesThroughJointsAndDevicesUpToTheBattery) {
  DiagramOptions options;
  options.circuit = "Y1";
  const std::string valve = draw_diagram(hoist_graft(), options).svg;
  for (const char* id : {"w24", "w25", "w2", "w1"})
    EXPECT_EQ(count_of(valve, "data-wire=\"" + std::string(id) + "\""), 1U) << id;
  EXPECT_THAT(valve, Not(HasSubstr("data-wire=\"w12\""))) << "the speed lever has nothing to do with it";
  EXPECT_THAT(valve, Not(HasSubstr("data-wire=\"w9\""))) << "the battery ends it";
  options.circuit = "signal of w12";
  const std::string lever = draw_diagram(hoist_graft(), options).svg;
  for (const char* id : {"w12", "w13", "w14"})
    EXPECT_THAT(lever, HasSubstr("data-wire=\"" + std::string(id)));
  EXPECT_EQ(count_of(lever, "data-wire="), 3U);
  options.circuit = "w18";
  const std::string mated = draw_diagram(hoist_graft(), options).svg;
  EXPECT_THAT(mated, HasSubstr("data-wire=\"w19\"")) << "through the mated pair";
  EXPECT_THAT(mated, Not(HasSubstr("data-wire=\"w7\""))) << "but not to its other cavity";
}

TEST(Diagram, AModuleShowsAllOfItsPins) {
  DiagramOptions options;
  options.module = "ctl";
  const std::string svg = draw_diagram(hoist_graft(), options).svg;
  for (const char* cavity : {"8", "9", "10"})
    EXPECT_THAT(svg, HasSubstr("data-pin=\"ctl.A " + std::string(cavity) + "\"")) << "without a wire";
  EXPECT_THAT(svg, HasSubstr(">GY/VT to something in the cab</text>"));
}

TEST(Diagram, AsPlannedTheDonorIsInTheFoundModulesPlace) {
  Graft graft;
  for (const auto& [id, role, signal] :
       {std::tuple{"old", ModuleRole::found, "idle button"}, {"new", ModuleRole::donor, "hand throttle"}}) {
    Connector plug;
    plug.id = std::string(id) + ".C1";
    plug.name = "C1";
    Module module;
    module.id = id;
    module.name = std::string(id) + " box";
    module.role = role;
    module.connectors = {plug.id};
    Pin pin;
    pin.at = {plug.id, "7"};
    pin.signal = signal;
    module.pins = {pin};
    graft.connectors.push_back(plug);
    graft.modules.push_back(module);
  }
  Device sensor;
  sensor.id = "B1";
  sensor.kind = "thermistor";
  graft.devices = {sensor};
  Wire wire;
  wire.id = "w1";
  wire.from = {"old.C1", "7"};
  wire.to = {"B1", "1"};
  graft.wires = {wire};
  EXPECT_THAT(draw_diagram(graft).svg, HasSubstr("idle button"));
  DiagramOptions planned;
  planned.show = DiagramShow::planned;
  planned.module = "new";
  const std::string svg = draw_diagram(graft, planned).svg;
  EXPECT_THAT(svg, HasSubstr("hand throttle"));
  EXPECT_THAT(svg, Not(HasSubstr("idle button")));
}

TEST(Diagram, AnEmptySelectionIsAProblem) {
  DiagramOptions options;
  options.module = "no such module";
  const Diagram module = draw_diagram(hoist_graft(), options);
  ASSERT_EQ(module.problems.size(), 1U);
  EXPECT_EQ(module.problems[0].code, "no-such-module");
  EXPECT_THAT(module.svg, HasSubstr("There is no wire to draw."));
  options.module.clear();
  options.circuit = nasty_name;
  const Diagram circuit = draw_diagram(hoist_graft(), options);
  ASSERT_EQ(circuit.problems.size(), 1U);
  EXPECT_EQ(circuit.problems[0].code, "no-such-circuit");
  EXPECT_THAT(circuit.svg, HasSubstr("&lt;img"));
}

TEST(Diagram, ANarrowSheetKeepsItsWidthAndListsTheWires) {
  DiagramOptions options;
  options.width_mm = 90.0;
  const Diagram narrow = draw_diagram(hoist_graft(), options);
  EXPECT_LE(narrow.width_mm, 90.0 + 1e-6);
  EXPECT_THAT(narrow.svg, HasSubstr("through floor"));
  ASSERT_EQ(narrow.problems.size(), 1U);
  EXPECT_EQ(narrow.problems[0].code, "drawn-smaller");
  options.width_mm = 2000.0;
  const Diagram wide = draw_diagram(hoist_graft(), options);
  EXPECT_DOUBLE_EQ(wide.scale, 1.0);
  EXPECT_TRUE(wide.problems.empty());
}

TEST(Diagram, TextSizeScalesTheWholeDrawing) {
  DiagramOptions options;
  const Diagram usual = draw_diagram(hoist_graft(), options);
  options.text_mm = 4.4;
  const Diagram large = draw_diagram(hoist_graft(), options);
  EXPECT_NEAR(large.width_mm, 2.0 * usual.width_mm, 1e-6);
}

TEST(Diagram, DrawsInconsistentGrafts) {
  EXPECT_THAT(draw_diagram({}).svg, HasSubstr("There is no wire to draw."));
  Graft g = hoist_graft();
  g.wires.push_back(g.wires[3]);
  g.wires.push_back(wire("self", {"S1", "1"}, {"S1", "1"}, "RD"));
  g.wires.push_back(wire("open", {}, {}, "RD"));
  g.wires.push_back(wire("lost", {"ctl.A", "9"}, {"no such device", "7"}, "RD"));
  g.wires.push_back(wire("", {"", "3"}, {"M1", ""}, ""));
  g.devices.push_back(g.devices[0]);
  g.connectors.push_back(plug("x3", "X3", "x3"));
  g.connectors.push_back(plug("x4", "X4", "x1"));
  g.paths.push_back({"floor", "", "", {}, {}, {}, {}, millimetres(1), ""});
  g.modules.push_back({});
  const Diagram diagram = draw_diagram(g);
  std::vector<std::string> codes;
  for (const Problem& p : diagram.problems) codes.emplace_back(p.code);
  EXPECT_THAT(codes, testing::ElementsAre("duplicate-id", "end-unknown"));
  EXPECT_THAT(diagram.svg, HasSubstr("data-device=\"no such device\""));
  for (const double odd : {-1.0, 1e300, std::nan("")}) {
    DiagramOptions options;
    options.width_mm = odd;
    options.text_mm = odd;
    EXPECT_THAT(draw_diagram(g, options).svg, HasSubstr("</svg>"));
  }
}

TEST(Diagram, DrawsTwoThousandWires) {
  const Graft g = random_graft(11, 2000, 3);
  const Diagram diagram = draw_diagram(g);
  EXPECT_GT(diagram.lines.size(), 1800U);
}

TEST(Diagram, OutputIsReproducible) {
  for (std::uint64_t seed = 0; seed < 5; ++seed)
    EXPECT_EQ(draw_diagram(random_graft(seed, 30)).svg, draw_diagram(random_graft(seed, 30)).svg);
}

TEST(Diagram, IsWellFormedAndEscapesNames) {
  const std::string folder = testing::TempDir();
  std::vector<std::string> files;
  Graft nasty = hoist_graft();
  nasty.title = nasty_name;
  for (Device& d : nasty.devices) d.name = nasty_name;
  for (Wire& w : nasty.wires) w.signal = w.colour.raw = nasty_name;
  nasty.modules[0].name = nasty_name;
  nasty.wires.push_back(wire(nasty_name, {nasty_name, nasty_name}, {"ctl.A", nasty_name}, nasty_name));
  std::vector<Sheet> sheets = all_sheets();
  sheets.push_back({"nasty", draw_diagram(nasty)});
  for (std::size_t i = 0; i < sheets.size(); ++i) {
    const bool last = i + 1 == sheets.size();
    const std::string name = folder + (last ? "nasty" : "diagram") + std::to_string(i) + ".svg";
    std::ofstream(name) << sheets[i].diagram.svg;
    files.push_back(name);
  }
  EXPECT_EQ(well_formed(files), static_cast<int>(sheets.size()));
}

}  // namespace
}  // namespace loomgraft::diagram_diagram_test
