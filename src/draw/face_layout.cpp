#include "draw/face_layout.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

namespace loomgraft::draw {
namespace {

constexpr double coincident = 1e-9;        // metres: centres nearer than this are the same position twice
constexpr std::size_t most_places = 4000;  // beyond, pairs of places are too many to compare
constexpr double most_stretch = 4.0;       // times the size of the same face laid out by row and column

// Sheet millimetres per metre at which the cells of any two places are clear of each other; infinite if none
// is.
double clear_scale(const Face& face, const CellRoom& room) {
  const double width = room.width + room.gap;
  const double height = room.height + room.gap;
  std::vector<const FacePlace*> places;
  for (const FacePlace& place : face.places) places.push_back(&place);
  std::stable_sort(places.begin(), places.end(),
                   [](const FacePlace* a, const FacePlace* b) { return a->y < b->y; });
  double scale = 0.0;
  for (std::size_t i = 0; i < places.size(); ++i) {
    if (places[i]->pitch.si > coincident) scale = std::max(scale, width / places[i]->pitch.si);
    for (std::size_t j = i + 1; j < places.size(); ++j) {
      const double dx = std::abs(places[j]->x.si - places[i]->x.si);
      const double dy = places[j]->y.si - places[i]->y.si;
      if (dy * scale >= height) break;
      // Two places at one point cannot both be drawn there, at any scale.
      if (std::max(dx, dy) < coincident) return std::numeric_limits<double>::infinity();
      scale = std::max(scale, std::min(width / std::max(dx, coincident), height / std::max(dy, coincident)));
    }
  }
  return scale;
}

// Shrinks two cells that would touch, along the direction in which their smallest sizes are clear of each
// other.
void keep_apart(FaceCell& a, FaceCell& b, const CellRoom& room) {
  const double dx = std::abs(a.x - b.x);
  const double dy = std::abs(a.y - b.y);
  const double slack = room.gap - 1e-6;
  if (dx >= 0.5 * (a.width + b.width) + slack || dy >= 0.5 * (a.height + b.height) + slack) return;
  if (dy >= room.height + slack) {
    a.height = std::clamp(dy - room.gap, room.height, std::max(room.height, a.height));
    b.height = std::clamp(dy - room.gap, room.height, std::max(room.height, b.height));
  } else {
    a.width = std::clamp(dx - room.gap, room.width, std::max(room.width, a.width));
    b.width = std::clamp(dx - room.gap, room.width, std::max(room.width, b.width));
  }
}

// Sizes that follow the pitch where the neighbours allow it.
void size_cells(FaceLayout& layout, const Face& face, const CellRoom& room) {
  for (std::size_t i = 0; i < layout.cells.size(); ++i) {
    const double side = face.places[i].pitch.si * 1e3 * layout.scale - room.gap;
    layout.cells[i].width = std::max(room.width, side);
    layout.cells[i].height = std::max(room.height, side);
  }
  for (std::size_t i = 0; i < layout.cells.size(); ++i) {
    for (std::size_t j = i + 1; j < layout.cells.size(); ++j)
      keep_apart(layout.cells[i], layout.cells[j], room);
  }
}

void place_to_scale(FaceLayout& layout, const Face& face, const CellRoom& room) {
  for (const FacePlace& place : face.places) {
    FaceCell cell;
    cell.cavity = place.cavity;
    cell.x = (place.x - face.left).si * 1e3 * layout.scale;
    cell.y = (place.y - face.top).si * 1e3 * layout.scale;
    cell.terminal = place.terminal_width.si * 1e3 * layout.scale;
    layout.cells.push_back(std::move(cell));
  }
  size_cells(layout, face, room);
}

void place_by_row_and_column(FaceLayout& layout, const Face& face, const CellRoom& room) {
  for (const FacePlace& place : face.places) {
    FaceCell cell;
    cell.cavity = place.cavity;
    cell.x = (place.column - 1) * (room.width + room.gap);
    cell.y = (place.row - 1) * (room.height + room.gap);
    cell.width = room.width;
    cell.height = room.height;
    layout.cells.push_back(std::move(cell));
  }
}

// Can the face be drawn to this scale on a sensible sheet?
bool is_sensible(const Face& face, const CellRoom& room, double scale) {
  int columns = 1;
  for (const FacePlace& place : face.places) columns = std::max(columns, place.column);
  const double width = (face.right - face.left).si * scale;
  const double height = (face.bottom - face.top).si * scale;
  return std::isfinite(scale) && scale > 0.0 &&
         width <= most_stretch * (columns + 4) * (room.width + room.gap) &&
         height <= most_stretch * (face.rows + 4) * (room.height + room.gap);
}

std::vector<FaceStrip> cut(const FaceLayout& layout, double width) {
  std::vector<std::size_t> order(layout.cells.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return layout.cells[a].x < layout.cells[b].x; });
  std::vector<FaceStrip> strips;
  for (const std::size_t i : order) {
    const FaceCell& cell = layout.cells[i];
    if (strips.empty() || cell.right() - strips.back().left > width) {
      strips.push_back({{}, cell.left(), cell.right()});
    }
    FaceStrip& strip = strips.back();
    strip.cells.push_back(i);
    strip.left = std::min(strip.left, cell.left());
    strip.right = std::max(strip.right, cell.right());
  }
  return strips;
}

// As few strips as the width allows, then as equal as that number allows.
std::vector<FaceStrip> cut_evenly(const FaceLayout& layout, double width) {
  std::vector<FaceStrip> strips = cut(layout, width);
  if (strips.size() < 2) return strips;
  const double share = (strips.back().right - strips.front().left) / static_cast<double>(strips.size());
  constexpr int steps = 20;  // from equal shares to the full width
  for (int step = 0; step < steps; ++step) {
    std::vector<FaceStrip> even = cut(layout, share + (width - share) * step / steps);
    if (even.size() == strips.size()) return even;
  }
  return strips;
}

}  // namespace

FaceLayout lay_out(const Face& face, const CellRoom& room) {
  FaceLayout layout;
  if (face.places.empty()) return layout;
  layout.to_scale = face.places.size() <= most_places;
  if (layout.to_scale) {
    // One decimal, rounded up: a scale that can be written on the sheet.
    layout.scale = std::ceil(clear_scale(face, room) * 1e-3 * 10.0 - 1e-9) / 10.0;
    layout.to_scale = is_sensible(face, room, layout.scale * 1e3);
  }
  if (layout.to_scale) {
    place_to_scale(layout, face, room);
  } else {
    layout.scale = 1.0;
    place_by_row_and_column(layout, face, room);
  }
  layout.top = layout.cells.front().top();
  layout.bottom = layout.cells.front().bottom();
  for (const FaceCell& cell : layout.cells) {
    layout.top = std::min(layout.top, cell.top());
    layout.bottom = std::max(layout.bottom, cell.bottom());
  }
  layout.strips = cut_evenly(layout, room.strip_width);
  return layout;
}

}  // namespace loomgraft::draw
