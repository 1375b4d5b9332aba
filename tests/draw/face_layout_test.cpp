#include "draw/face_layout.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace loomgraft::draw_face_layout_test {
namespace {

using namespace loomgraft::draw;

constexpr CellRoom room{9.0, 10.0, 0.6, 180.0};

CavityRow row(const std::string& prefix, int count, double x, double y, double pitch, double terminal) {
  CavityRow made{{}, millimetres(x), millimetres(y), millimetres(pitch), millimetres(terminal)};
  for (int i = 1; i <= count; ++i) made.cavities.push_back(prefix + std::to_string(i));
  return made;
}

bool touch(const FaceCell& a, const FaceCell& b) {
  return std::abs(a.x - b.x) < 0.5 * (a.width + b.width) - 1e-6 &&
         std::abs(a.y - b.y) < 0.5 * (a.height + b.height) - 1e-6;
}

void expect_sound(const FaceLayout& layout, std::size_t places) {
  ASSERT_EQ(layout.cells.size(), places);
  std::vector<int> held(places, 0);
  for (const FaceStrip& strip : layout.strips) {
    for (const std::size_t i : strip.cells) ++held[i];
  }
  EXPECT_EQ(std::count(held.begin(), held.end(), 1), static_cast<std::ptrdiff_t>(places));
  for (std::size_t i = 0; i < places; ++i) {
    EXPECT_TRUE(std::isfinite(layout.cells[i].x) && std::isfinite(layout.cells[i].y));
    EXPECT_GE(layout.cells[i].width, room.width - 1e-9);
    EXPECT_GE(layout.cells[i].height, room.height - 1e-9);
    for (std::size_t j = 0; j < i; ++j)
      EXPECT_FALSE(touch(layout.cells[i], layout.cells[j])) << i << " " << j;
  }
}

TEST(FaceLayout, KeepsProportionsAndMirrors) {
  Connector connector;
  connector.view = View::wire_entry;
  connector.rows = {row("A", 3, 0, 0, 5, 2.8), row("B", 6, 1, 6, 2.5, 0.64)};
  const FaceLayout wires = lay_out(face_of(connector, View::wire_entry), room);
  const FaceLayout mating = lay_out(face_of(connector, View::mating), room);
  expect_sound(wires, 9);
  ASSERT_TRUE(wires.to_scale);
  EXPECT_NEAR(wires.scale, 3.9, 1e-9) << "9.6 mm for a pitch of 2.5 mm, rounded up to a tenth";
  // A1 to A2 is 5 mm on the plug, A1 to B1 is 1 mm across and 6 mm down.
  EXPECT_NEAR(wires.cells[1].x - wires.cells[0].x, 5 * 3.9, 1e-9);
  EXPECT_NEAR(wires.cells[3].y - wires.cells[0].y, 6 * 3.9, 1e-9);
  EXPECT_NEAR(wires.cells[3].x - wires.cells[0].x, 1 * 3.9, 1e-9);
  EXPECT_GT(wires.cells[0].width, wires.cells[3].width) << "large cavities look larger";
  const double extent = 13.5 * 3.9;  // leftmost to rightmost centre: A1 at 0, B6 at 1 + 5 x 2.5
  for (const FaceCell& cell : wires.cells) {
    const auto twin = std::find_if(mating.cells.begin(), mating.cells.end(),
                                   [&](const FaceCell& other) { return other.cavity == cell.cavity; });
    ASSERT_NE(twin, mating.cells.end());
    EXPECT_NEAR(twin->x, extent - cell.x, 1e-6) << cell.cavity;
    EXPECT_NEAR(twin->y, cell.y, 1e-6) << cell.cavity;
  }
}

TEST(FaceLayout, CutsWideFacesIntoEvenStrips) {
  Connector connector;
  connector.rows = {row("A", 30, 0, 0, 2.5, 0.64), row("B", 30, 0, 2.5, 2.5, 0.64)};
  const FaceLayout layout = lay_out(face_of(connector, View::wire_entry), room);
  expect_sound(layout, 60);
  ASSERT_EQ(layout.strips.size(), 2U);
  EXPECT_EQ(layout.strips[0].cells.size(), 30U);
  for (const FaceStrip& strip : layout.strips) EXPECT_LE(strip.right - strip.left, room.strip_width + 1e-9);
}

TEST(FaceLayout, AbsurdLengthsFallBackToRowsAndColumns) {
  Connector connector;
  connector.rows = {row("A", 2, 0, 0, 2.5, 0.64), row("B", 2, 1e6, 3, 2.5, 0.64)};
  const FaceLayout layout = lay_out(face_of(connector, View::wire_entry), room);
  EXPECT_FALSE(layout.to_scale);
  expect_sound(layout, 4);
  EXPECT_TRUE(lay_out(Face{}, room).strips.empty());
}

TEST(FaceLayout, CellsOfAnyConnectorDoNotTouch) {
  const bool held = rc::check("random rows, some of them nonsense", [] {
    Connector connector;
    const auto length = [] {
      const int kind = *rc::gen::inRange(0, 12);
      if (kind == 0) return std::numeric_limits<double>::quiet_NaN();
      if (kind == 1) return 1e300;
      if (kind == 2) return 1e-12;
      return *rc::gen::inRange(-20, 200) / 10.0;
    };
    const int rows = *rc::gen::inRange(0, 6);
    for (int r = 0; r < rows; ++r) {
      connector.rows.push_back(
          row(std::to_string(r) + "-", *rc::gen::inRange(0, 12), length(), length(), length(), length()));
    }
    const Face face = face_of(connector, View::mating);
    expect_sound(lay_out(face, room), face.places.size());
    RC_ASSERT(!testing::Test::HasFailure());
  });
  EXPECT_TRUE(held);
}

}  // namespace
}  // namespace loomgraft::draw_face_layout_test
