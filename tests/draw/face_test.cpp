#include "draw/face.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <fstream>

#include "tests/draw/svg_reading.h"

namespace loomgraft::draw_face_test {
namespace {

using testing::HasSubstr;
using testing::Not;

const std::string nasty = "<img src=x onerror=\"alert('1')\"> & ]]>\x01\xFF";

CavityRow row(int first, int count, double x, double y, double pitch, double terminal) {
  CavityRow made{{}, millimetres(x), millimetres(y), millimetres(pitch), millimetres(terminal)};
  for (int i = 0; i < count; ++i) made.cavities.push_back(std::to_string(first + i));
  return made;
}

Connector named(const std::string& name, Side latch, std::vector<CavityRow> rows) {
  Connector connector;
  connector.id = name;
  connector.name = name;
  connector.view = View::wire_entry;
  connector.latch = latch;
  connector.rows = std::move(rows);
  return connector;
}

std::vector<Connector> shapes() {
  std::vector<Connector> result{
      named("two rows of twelve", Side::top, {row(1, 12, 0, 0, 2.54, 0.64), row(13, 12, 0, 3.2, 2.54, 0.64)}),
      named("three in a row", Side::right, {row(1, 3, 0, 0, 5, 1.5)}),
      named("one", Side::unknown, {row(1, 1, 0, 0, 8, 6.3)}),
      named("staggered and sealed", Side::bottom,
            {row(1, 9, 0, 0, 4, 1.5), row(10, 8, 2, 3.5, 4, 1.5), row(18, 9, 0, 7, 4, 1.5)}),
      named("large and small", Side::left,
            {row(1, 3, 0, 1.5, 5.2, 2.8), row(4, 3, 0, 7.2, 5.2, 2.8), row(7, 21, 15.5, 0, 2.2, 0.64),
             row(28, 21, 15.5, 3, 2.2, 0.64), row(49, 21, 15.5, 6, 2.2, 0.64),
             row(70, 21, 15.5, 9, 2.2, 0.64)}),
      named(nasty, Side::top, {row(1, 4, 0, 0, 2.5, 0.64), row(100000000, 4, 0, 2.5, 2.5, 0.64)}),
      named("nothing", Side::unknown, {})};
  result[3].sealed = true;
  result[1].view = View::unknown;
  result[2].rows_guessed = true;
  return result;
}

std::vector<FaceMark> marks_for(const Connector& connector) {
  constexpr const char* letters[] = {"BK", "BN", "RD", "OG", "YE", "GN",
                                     "BU", "VT", "GY", "WH", "PK", "GNYE"};
  std::vector<FaceMark> marks;
  std::size_t k = 0;
  for (const CavityRow& cavities : connector.rows) {
    for (const std::string& cavity : cavities.cavities) {
      ++k;
      if (k % 7 == 3) continue;
      FaceMark mark{cavity,
                    "engine coolant temperature " + std::to_string(k),
                    {letters[k % 12], "", ""},
                    all_marks[k % 6],
                    ""};
      if (k % 3 == 0) mark.colour.tracer = letters[(5 * k) % 12];
      if (k % 11 == 5) mark.colour = {"", "", "Y/L?"};
      if (k % 5 == 0) mark.note = "to another connector, cavity 14";
      marks.push_back(mark);
    }
  }
  marks.push_back({"nowhere", nasty, {"GNYE", "BK", ""}, Mark::unsure, nasty});
  return marks;
}

struct Sheet {
  std::string name;
  std::string svg;
};

std::vector<Sheet> all_sheets() {
  std::vector<Sheet> sheets;
  for (const Connector& connector : shapes()) {
    const std::vector<FaceMark> marks = marks_for(connector);
    for (const double width : {90.0, 190.0, 277.0}) {
      const std::string name = connector.name + " at " + std::to_string(width);
      sheets.push_back({name, draw_face(connector, marks, View::mating, {.title = {}, .width_mm = width})});
      sheets.push_back({name + " both", draw_faces(connector, marks, {.title = {}, .width_mm = width})});
    }
  }
  sheets.push_back(
      {"black ink", draw_faces(shapes()[0], marks_for(shapes()[0]), {.title = {}, .ink = WireInk::black})});
  return sheets;
}

TEST(FaceDrawing, NoTextsOverlapOrLeaveTheSheet) {
  for (const Sheet& sheet : all_sheets()) {
    const std::vector<TextBox> boxes = text_boxes(sheet.svg);
    EXPECT_GT(boxes.size(), 3U) << sheet.name;
    const std::size_t root = sheet.svg.find("<svg ");
    const double wide = number(sheet.svg, root, "width");  // "190mm": the number ends at the unit
    const double high = number(sheet.svg, root, "height");
    for (const TextBox& box : boxes) {
      EXPECT_TRUE(box.left >= 0 && box.top >= 0 && box.right <= wide && box.bottom <= high)
          << sheet.name << ": " << box.text;
    }
    EXPECT_EQ(overlaps(boxes), "") << sheet.name;
  }
}

TEST(FaceDrawing, IsWellFormedAndEscapesNames) {
  std::vector<std::string> files;
  for (const Sheet& sheet : all_sheets()) {
    files.push_back(testing::TempDir() + "nasty_face" + std::to_string(files.size()) + ".svg");
    std::ofstream(files.back()) << sheet.svg;
  }
  EXPECT_EQ(well_formed(files, true), static_cast<int>(files.size()));
}

TEST(FaceDrawing, StatesItsSide) {
  const Connector connector = shapes()[0];
  const std::string wires = draw_face(connector, {}, View::wire_entry);
  const std::string mating = draw_face(connector, {}, View::mating);
  EXPECT_THAT(wires, HasSubstr("Seen from the wire-entry side"));
  EXPECT_THAT(wires, HasSubstr("Mirror warning: on the mating side"));
  EXPECT_THAT(wires, Not(HasSubstr("Seen from the mating side")));
  EXPECT_THAT(mating, HasSubstr("Seen from the mating side"));
  EXPECT_THAT(mating, HasSubstr("Mirror warning: on the wire-entry side"));
  const std::string both = draw_faces(connector, {}, {.title = {}, .width_mm = 277});
  EXPECT_THAT(both, HasSubstr("Seen from the wire-entry side"));
  EXPECT_THAT(both, HasSubstr("Seen from the mating side"));
}

std::vector<std::string> cavities_in_order(const std::string& svg, double& first_x) {
  std::vector<std::pair<double, std::string>> found;
  for (const std::size_t at : elements(svg, "<g class=\"cavity\"")) {
    found.emplace_back(number(svg, svg.find("<rect ", at), "x"), attribute(svg, at, "data-cavity"));
  }
  std::sort(found.begin(), found.end());
  first_x = found.empty() ? 0.0 : found.front().first;
  std::vector<std::string> names;
  for (const auto& [x, name] : found) names.push_back(name);
  return names;
}

TEST(FaceDrawing, TheOtherSideIsTheMirrorImage) {
  const Connector connector = named("C", Side::top, {row(1, 5, 0, 0, 4, 1.5)});
  double wires_x = 0.0;
  double mating_x = 0.0;
  const auto wires = cavities_in_order(draw_face(connector, {}, View::wire_entry), wires_x);
  const auto mating = cavities_in_order(draw_face(connector, {}, View::mating), mating_x);
  EXPECT_EQ(wires, (std::vector<std::string>{"1", "2", "3", "4", "5"}));
  EXPECT_EQ(mating, (std::vector<std::string>{"5", "4", "3", "2", "1"}));
  EXPECT_NEAR(wires_x, mating_x, 1e-9);
}

TEST(FaceDrawing, StatesWhatIsGuessed) {
  Connector connector = shapes()[0];
  EXPECT_THAT(draw_face(connector, {}, View::mating), Not(HasSubstr("guessed")));
  EXPECT_THAT(draw_face(connector, {}, View::mating), HasSubstr("10 mm on the plug, drawn"));
  connector.rows_guessed = true;
  EXPECT_THAT(draw_face(connector, {}, View::mating), HasSubstr("Layout guessed: check against the plug."));
  EXPECT_THAT(draw_face(connector, {}, View::mating), HasSubstr("Not to scale."));
  connector.view = View::unknown;
  EXPECT_THAT(draw_face(connector, {}, View::mating), HasSubstr("does not say which side"));
}

// "top left" is true of one side only: it must not stand under the other as if it held there.
TEST(FaceDrawing, KeyingAndNumberingNameTheirSide) {
  Connector connector = shapes()[0];
  connector.keying = "rib left of the latch";
  connector.origin = "cavity 1 top left";
  EXPECT_THAT(
      draw_face(connector, {}, View::mating),
      HasSubstr("for the wire-entry side: keying rib left of the latch; numbering cavity 1 top left."));
}

TEST(FaceDrawing, EveryVerdictHasItsName) {
  const Connector connector = named("C", Side::top, {row(1, 7, 0, 0, 4, 1.5)});
  std::vector<FaceMark> marks;
  for (const Mark mark : all_marks) {
    marks.push_back({std::to_string(marks.size() + 1), "signal", {"RD", "", ""}, mark, ""});
  }
  const std::string svg = draw_face(connector, marks, View::wire_entry);
  for (const Mark mark : all_marks) {
    std::size_t count = 0;
    const std::string word = ">" + std::string(name_of(mark)) + "</text>";
    for (std::size_t at = svg.find(word); at != std::string::npos; at = svg.find(word, at + 1)) ++count;
    EXPECT_EQ(count, 2U) << name_of(mark) << ": once in the legend, once in the list";
  }
}

TEST(FaceDrawing, TheMostUrgentMarkOfACavityIsShownAndAllAreListed) {
  const Connector connector = named("C", Side::top, {row(1, 1, 0, 0, 4, 1.5)});
  const std::string svg = draw_face(connector,
                                    {{"1", "old feed", {"RD", "", ""}, Mark::retire, ""},
                                     {"1", "new output", {"GN", "", ""}, Mark::clash, ""}},
                                    View::wire_entry);
  EXPECT_THAT(svg, HasSubstr("cavity 1: GN new output, clash: RD old feed, retire"));
  EXPECT_THAT(svg, HasSubstr(">old feed</text>"));
  EXPECT_THAT(svg, HasSubstr(">new output</text>"));
}

TEST(FaceDrawing, OutputIsReproducible) {
  const std::vector<Sheet> first = all_sheets();
  const std::vector<Sheet> second = all_sheets();
  for (std::size_t i = 0; i < first.size(); ++i) EXPECT_EQ(first[i].svg, second[i].svg) << first[i].name;
}

TEST(FaceDrawing, ShowsOnlyThePartWithTheCavity) {
  Connector connector;
  connector.id = "X1";
  CavityRow row;
  for (int k = 1; k <= 40; ++k) row.cavities.push_back(std::to_string(k));
  row.pitch = millimetres(2.5);
  connector.rows = {row};
  const std::string part =
      draw_face(connector, {}, View::mating, {.title = {}, .width_mm = 90, .cavity = "3"});
  EXPECT_THAT(part, HasSubstr("data-cavity=\"3\""));
  EXPECT_THAT(part, Not(HasSubstr("data-cavity=\"38\"")));
  EXPECT_THAT(part, HasSubstr("Mating side"));
  // A cavity that the plug does not have hides nothing.
  const std::string whole =
      draw_face(connector, {}, View::mating, {.title = {}, .width_mm = 90, .cavity = "99"});
  EXPECT_THAT(whole, HasSubstr("data-cavity=\"38\""));
}

TEST(FaceDrawing, ToleratesImpossibleOptions) {
  const Connector connector = shapes()[4];
  for (const double odd : {0.0, -5.0, 1e9, std::nan("")}) {
    EXPECT_THAT(draw_face(connector, marks_for(connector), View::mating,
                          {.title = {}, .width_mm = odd, .text_mm = odd}),
                HasSubstr("</svg>"));
  }
  EXPECT_THAT(draw_faces({}, {}), HasSubstr("No cavities are known"));
}

}  // namespace
}  // namespace loomgraft::draw_face_test
