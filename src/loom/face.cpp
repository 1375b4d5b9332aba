#include "loom/face.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

namespace loomgraft {
namespace {

constexpr double row_tolerance = 0.4;    // of a pitch: rows nearer than this look like one row
constexpr double neighbour_reach = 1.5;  // of a pitch
constexpr double unit_pitch = 1e-3;      // where a connector gives no length at all; only proportions remain

struct Row {
  const CavityRow* drawn = nullptr;
  double x = 0.0;
  double y = 0.0;
  double pitch = 0.0;
  int row = 0;  // as drawn, from 0

  double last_x() const { return x + pitch * static_cast<double>(drawn->cavities.size() - 1); }
};

bool usable(Metres length) {
  return std::isfinite(length.si) && length.si > 0.0;
}

double finite_or_zero(Metres length) {
  return std::isfinite(length.si) ? length.si : 0.0;
}

// The pitch for rows that state none: the smallest one stated, else twice the widest terminal.
double fallback_pitch(const Connector& connector) {
  double smallest = std::numeric_limits<double>::infinity();
  double widest = 0.0;
  for (const CavityRow& row : connector.rows) {
    if (usable(row.pitch)) smallest = std::min(smallest, row.pitch.si);
    if (usable(row.terminal_width)) widest = std::max(widest, row.terminal_width.si);
  }
  if (std::isfinite(smallest)) return smallest;
  return widest > 0.0 ? 2.0 * widest : unit_pitch;
}

std::vector<Row> collect_rows(const Connector& connector, bool& assumed) {
  const double fallback = fallback_pitch(connector);
  std::vector<Row> rows;
  for (const CavityRow& row : connector.rows) {
    if (row.cavities.empty()) continue;
    const bool known = usable(row.pitch) && std::isfinite(row.x.si) && std::isfinite(row.y.si);
    assumed = assumed || !known;
    rows.push_back(
        {&row, finite_or_zero(row.x), finite_or_zero(row.y), usable(row.pitch) ? row.pitch.si : fallback, 0});
  }
  return rows;
}

bool beside_each_other(const Row& a, const Row& b) {
  const double gap = 0.5 * std::min(a.pitch, b.pitch);
  return a.last_x() + gap <= b.x || b.last_x() + gap <= a.x;
}

bool same_height(const Row& a, const Row& b) {
  return std::abs(a.y - b.y) < row_tolerance * std::min(a.pitch, b.pitch);
}

// Rows that lie on top of one another have no usable heights: all are spread out in their listed order.
bool spread_if_stacked(std::vector<Row>& rows) {
  bool stacked = false;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j) {
      stacked = stacked || (same_height(rows[i], rows[j]) && !beside_each_other(rows[i], rows[j]));
    }
  }
  if (!stacked) return false;
  double y = 0.0;
  for (Row& row : rows) {
    row.y = y;
    y += row.pitch;
  }
  return true;
}

// Numbers the rows by height and returns how many there are to the eye.
int number_rows(std::vector<Row>& rows) {
  std::vector<std::size_t> order(rows.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return rows[a].y < rows[b].y; });
  int number = -1;
  const Row* above = nullptr;
  for (const std::size_t i : order) {
    if (above == nullptr || !same_height(*above, rows[i])) ++number;
    rows[i].row = number;
    above = &rows[i];
  }
  return number + 1;
}

void measure(Face& face) {
  if (face.places.empty()) return;
  const auto by_x = [](const FacePlace& a, const FacePlace& b) { return a.x < b.x; };
  const auto by_y = [](const FacePlace& a, const FacePlace& b) { return a.y < b.y; };
  face.left = std::min_element(face.places.begin(), face.places.end(), by_x)->x;
  face.right = std::max_element(face.places.begin(), face.places.end(), by_x)->x;
  face.top = std::min_element(face.places.begin(), face.places.end(), by_y)->y;
  face.bottom = std::max_element(face.places.begin(), face.places.end(), by_y)->y;
}

void count_columns(Face& face) {
  std::stable_sort(face.places.begin(), face.places.end(), [](const FacePlace& a, const FacePlace& b) {
    return a.row != b.row ? a.row < b.row : a.x < b.x;
  });
  int row = 0;
  int column = 0;
  for (FacePlace& place : face.places) {
    column = place.row == row ? column + 1 : 1;
    row = place.row;
    place.column = column;
  }
}

// Mirrors and turns within the extent, so that the face keeps its position on the page.
void turn_face(Face& face, bool mirror, bool turn) {
  const bool flip_x = mirror != turn;
  for (FacePlace& place : face.places) {
    if (flip_x) place.x = face.left + face.right - place.x;
    if (turn) {
      place.y = face.top + face.bottom - place.y;
      place.row = face.rows + 1 - place.row;
    }
  }
  if (mirror) face.latch = mirrored(face.latch);
  if (turn) face.latch = half_turned(face.latch);
}

void compact_rows(std::vector<FacePlace>& places, int& rows) {
  std::vector<int> seen;
  seen.reserve(places.size());
  for (const FacePlace& place : places) seen.push_back(place.row);
  std::sort(seen.begin(), seen.end());
  seen.erase(std::unique(seen.begin(), seen.end()), seen.end());
  for (FacePlace& place : places) {
    place.row = static_cast<int>(std::lower_bound(seen.begin(), seen.end(), place.row) - seen.begin()) + 1;
  }
  rows = static_cast<int>(seen.size());
}

}  // namespace

Side mirrored(Side side) {
  if (side == Side::left) return Side::right;
  if (side == Side::right) return Side::left;
  return side;
}

Side half_turned(Side side) {
  if (side == Side::top) return Side::bottom;
  if (side == Side::bottom) return Side::top;
  return mirrored(side);
}

Face face_of(const Connector& connector, View side, bool turned) {
  Face face;
  face.connector = connector.id;
  face.view_assumed = connector.view == View::unknown;
  const View drawn = face.view_assumed ? View::wire_entry : connector.view;
  face.side = side == View::unknown ? drawn : side;
  face.turned = turned;
  face.latch = connector.latch;

  std::vector<Row> rows = collect_rows(connector, face.geometry_assumed);
  if (spread_if_stacked(rows)) face.geometry_assumed = true;
  number_rows(rows);
  for (const Row& row : rows) {
    for (std::size_t i = 0; i < row.drawn->cavities.size(); ++i) {
      if (row.drawn->cavities[i].empty()) continue;
      const double x = row.x + row.pitch * static_cast<double>(i);
      const Metres width = usable(row.drawn->terminal_width) ? row.drawn->terminal_width : Metres{};
      face.places.push_back({row.drawn->cavities[i], row.row, 0, {x}, {row.y}, {row.pitch}, width});
    }
  }
  compact_rows(face.places, face.rows);
  measure(face);
  turn_face(face, face.side != drawn, turned);
  count_columns(face);
  return face;
}

const FacePlace* place_of(const Face& face, std::string_view cavity) {
  const auto found = std::find_if(face.places.begin(), face.places.end(),
                                  [&](const FacePlace& place) { return place.cavity == cavity; });
  return found == face.places.end() ? nullptr : &*found;
}

const FacePlace* place_at(const Face& face, int row, int column) {
  const auto found = std::find_if(face.places.begin(), face.places.end(), [&](const FacePlace& place) {
    return place.row == row && place.column == column;
  });
  return found == face.places.end() ? nullptr : &*found;
}

std::vector<Neighbour> neighbours(const Face& face, std::string_view cavity) {
  std::vector<Neighbour> found;
  const FacePlace* centre = place_of(face, cavity);
  if (centre == nullptr) return found;
  for (const FacePlace& place : face.places) {
    if (&place == centre) continue;
    const double distance = std::hypot(place.x.si - centre->x.si, place.y.si - centre->y.si);
    // A little slack, so that rounding does not decide on cavities at exactly the limit.
    const double reach = neighbour_reach * 0.5 * (place.pitch.si + centre->pitch.si) * (1.0 + 1e-9);
    if (distance <= reach) found.push_back({place.cavity, {distance}});
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const Neighbour& a, const Neighbour& b) { return a.distance < b.distance; });
  return found;
}

}  // namespace loomgraft
