#include "loom/face.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <cmath>
#include <limits>

namespace loomgraft::loom_face_test {
namespace {

CavityRow row_of(std::vector<std::string> cavities, double x_mm, double y_mm, double pitch_mm,
                 double width_mm = 0.64) {
  return {std::move(cavities), millimetres(x_mm), millimetres(y_mm), millimetres(pitch_mm),
          millimetres(width_mm)};
}

//        latch
//   1  2  3  .  4      seen from the wires
//   5  6  7  8  9
Connector nine_way() {
  Connector connector;
  connector.id = "C1";
  connector.view = View::wire_entry;
  connector.latch = Side::top;
  connector.rows = {row_of({"1", "2", "3", "", "4"}, 2.5, 2.5, 2.5),
                    row_of({"5", "6", "7", "8", "9"}, 2.5, 5.0, 2.5)};
  return connector;
}

std::string in_order(const Face& face) {
  std::string text;
  int row = 1;
  for (const FacePlace& place : face.places) {
    if (place.row != row) text += "/ ";
    row = place.row;
    text += place.cavity + " ";
  }
  return text;
}

TEST(Face, SameSideIsAsDrawn) {
  const Face face = face_of(nine_way(), View::wire_entry);
  EXPECT_EQ(in_order(face), "1 2 3 4 / 5 6 7 8 9 ");
  EXPECT_EQ(face.latch, Side::top);
  EXPECT_FALSE(face.view_assumed);
  EXPECT_FALSE(face.geometry_assumed);
  const FacePlace* four = place_of(face, "4");
  ASSERT_NE(four, nullptr);
  EXPECT_EQ(four->column, 4);                        // the gap is not counted
  EXPECT_NEAR(in_millimetres(four->x), 12.5, 1e-9);  // but keeps its room
}

TEST(Face, OtherSideIsMirroredLeftToRight) {
  const Face face = face_of(nine_way(), View::mating);
  EXPECT_EQ(in_order(face), "4 3 2 1 / 9 8 7 6 5 ");
  EXPECT_EQ(face.latch, Side::top);
  EXPECT_NEAR(in_millimetres(place_of(face, "4")->x), 2.5, 1e-9);
  EXPECT_NEAR(in_millimetres(place_of(face, "1")->x), 12.5, 1e-9);
}

TEST(Face, HalfATurnReversesRowsAndColumns) {
  const Face face = face_of(nine_way(), View::wire_entry, true);
  EXPECT_EQ(in_order(face), "9 8 7 6 5 / 4 3 2 1 ");
  EXPECT_EQ(face.latch, Side::bottom);
}

TEST(Face, TurnedAndMirroredReversesRowsOnly) {
  const Face face = face_of(nine_way(), View::mating, true);
  EXPECT_EQ(in_order(face), "5 6 7 8 9 / 1 2 3 4 ");
  EXPECT_EQ(face.latch, Side::bottom);
}

TEST(Face, LatchAtTheSideChangesSides) {
  Connector connector = nine_way();
  connector.latch = Side::left;
  EXPECT_EQ(face_of(connector, View::mating).latch, Side::right);
  EXPECT_EQ(face_of(connector, View::mating, true).latch, Side::left);
  EXPECT_EQ(face_of(connector, View::wire_entry, true).latch, Side::right);
}

TEST(Face, UnknownViewIsTakenAsWireEntryAndSaysSo) {
  Connector connector = nine_way();
  connector.view = View::unknown;
  EXPECT_TRUE(face_of(connector, View::mating).view_assumed);
  EXPECT_EQ(in_order(face_of(connector, View::wire_entry)), "1 2 3 4 / 5 6 7 8 9 ");
  EXPECT_EQ(in_order(face_of(connector, View::mating)), "4 3 2 1 / 9 8 7 6 5 ");
  EXPECT_EQ(face_of(connector, View::unknown).side, View::wire_entry);
}

TEST(Face, RowsBesideOneAnotherAreOneRowToTheEye) {
  //  [A]  1 2 3
  //       4 5 6
  Connector connector;
  connector.view = View::mating;
  connector.rows = {row_of({"A"}, 3.0, 2.4, 8.0, 6.3), row_of({"1", "2", "3"}, 10.0, 2.5, 2.5),
                    row_of({"4", "5", "6"}, 10.0, 5.0, 2.5)};
  EXPECT_EQ(in_order(face_of(connector, View::mating)), "A 1 2 3 / 4 5 6 ");
  EXPECT_EQ(in_order(face_of(connector, View::wire_entry)), "3 2 1 A / 6 5 4 ");
  EXPECT_NEAR(in_millimetres(place_of(face_of(connector, View::mating), "A")->terminal_width), 6.3, 1e-9);
}

TEST(Face, MissingLengthsAreLaidOutAndFlagged) {
  Connector connector;
  connector.rows = {row_of({"1", "2"}, 0, 0, 0), row_of({"3", "4"}, 0, 0, 0)};
  const Face face = face_of(connector, View::wire_entry);
  EXPECT_TRUE(face.geometry_assumed);
  EXPECT_EQ(in_order(face), "1 2 / 3 4 ");
  connector.rows[0].x = Metres{std::numeric_limits<double>::quiet_NaN()};
  EXPECT_EQ(in_order(face_of(connector, View::mating)), "2 1 / 4 3 ");
  EXPECT_TRUE(face_of(Connector{}, View::mating).places.empty());
}

TEST(Face, NeighboursOfASquareGridAreEight) {
  Connector connector;
  connector.view = View::wire_entry;
  connector.rows = {row_of({"1", "2", "3"}, 0, 0, 2.5), row_of({"4", "5", "6"}, 0, 2.5, 2.5),
                    row_of({"7", "8", "9"}, 0, 5.0, 2.5), row_of({"10", "11", "12"}, 0, 7.5, 2.5)};
  const Face face = face_of(connector, View::mating);
  const std::vector<Neighbour> found = neighbours(face, "5");
  ASSERT_EQ(found.size(), 8U);
  EXPECT_NEAR(in_millimetres(found.front().distance), 2.5, 1e-9);
  EXPECT_NEAR(in_millimetres(found.back().distance), 2.5 * std::sqrt(2.0), 1e-9);
  EXPECT_EQ(neighbours(face, "1").size(), 3U);
  EXPECT_TRUE(neighbours(face, "99").empty());
}

Connector any_connector() {
  Connector connector;
  connector.view = *rc::gen::element(View::wire_entry, View::mating, View::unknown);
  connector.latch = *rc::gen::element(Side::unknown, Side::top, Side::bottom, Side::left, Side::right);
  const int rows = *rc::gen::inRange(0, 5);
  int name = 0;
  for (int r = 0; r < rows; ++r) {
    CavityRow row = row_of({}, *rc::gen::inRange(0, 8), *rc::gen::inRange(0, 12), *rc::gen::inRange(0, 5));
    const int count = *rc::gen::inRange(0, 7);
    for (int c = 0; c < count; ++c) {
      row.cavities.push_back(*rc::gen::inRange(0, 4) == 0 ? "" : std::to_string(++name));
    }
    connector.rows.push_back(row);
  }
  return connector;
}

TEST(Face, EverySideHoldsTheSameCavitiesWithinTheSameExtent) {
  EXPECT_TRUE(rc::check([] {
    const Connector connector = any_connector();
    const Face drawn = face_of(connector, View::unknown);
    for (const View side : {View::wire_entry, View::mating}) {
      for (const bool turned : {false, true}) {
        const Face face = face_of(connector, side, turned);
        RC_ASSERT(face.places.size() == drawn.places.size());
        RC_ASSERT(face.rows == drawn.rows);
        for (const FacePlace& place : face.places) {
          RC_ASSERT(place_of(drawn, place.cavity) != nullptr);
          RC_ASSERT(place_at(face, place.row, place.column) == &place);
          RC_ASSERT(place.x.si >= face.left.si - 1e-12);
          RC_ASSERT(place.x.si <= face.right.si + 1e-12);
        }
      }
    }
  }));
}

TEST(Face, NeighbourhoodIsMutualAndTheSameOnEverySide) {
  EXPECT_TRUE(rc::check([] {
    const Connector connector = any_connector();
    const Face near = face_of(connector, View::wire_entry);
    const Face far = face_of(connector, View::mating, true);
    for (const FacePlace& place : near.places) {
      const std::vector<Neighbour> found = neighbours(near, place.cavity);
      RC_ASSERT(found.size() == neighbours(far, place.cavity).size());
      for (const Neighbour& neighbour : found) {
        bool back = false;
        for (const Neighbour& n : neighbours(near, neighbour.cavity)) back = back || n.cavity == place.cavity;
        RC_ASSERT(back);
      }
    }
  }));
}

}  // namespace
}  // namespace loomgraft::loom_face_test
