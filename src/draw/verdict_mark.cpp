#include "draw/verdict_mark.h"

#include <span>
#include <string>

namespace loomgraft {
namespace {

// A point of a stroke, in a square from -1 to 1; `begins` starts a new stroke.
struct MarkPoint {
  double x;
  double y;
  bool begins = false;
};

constexpr MarkPoint tick[] = {{-0.8, 0.1, true}, {-0.2, 0.7}, {0.85, -0.7}};
constexpr MarkPoint arrow[] = {{-0.9, 0, true}, {0.85, 0}, {0.2, -0.65, true}, {0.85, 0}, {0.2, 0.65}};
constexpr MarkPoint plus[] = {{-0.85, 0, true}, {0.85, 0}, {0, -0.85, true}, {0, 0.85}};
constexpr MarkPoint cross[] = {{-0.7, -0.7, true}, {0.7, 0.7}, {-0.7, 0.7, true}, {0.7, -0.7}};
constexpr MarkPoint triangle[] = {{0, -0.95, true}, {1, 0.85}, {-1, 0.85}, {0, -0.95}};
constexpr MarkPoint exclamation[] = {{0, -0.3, true}, {0, 0.22}, {0, 0.56, true}, {0, 0.58}};
constexpr MarkPoint question[] = {{-0.42, -0.35, true}, {-0.3, -0.65}, {0, -0.75}, {0.3, -0.65},
                                  {0.42, -0.35},        {0.3, -0.1},   {0, 0.12},  {0, 0.3},
                                  {0, 0.62, true},      {0, 0.72}};

struct Shape {
  std::string_view ink;
  std::span<const MarkPoint> points;
};

constexpr Shape shapes[] = {{"#000000", {}},      {"#1d6b3b", tick},  {"#1b4b8a", arrow},
                            {"#1b4b8a", plus},    {"#5a5a5a", cross}, {"#ab1f18", exclamation},
                            {"#7d5200", question}};

std::string path_of(std::span<const MarkPoint> points, double x, double y, double half) {
  std::string path;
  for (const MarkPoint& point : points) {
    path += point.begins ? 'M' : 'L';
    path += print_number(x + half * point.x) + " " + print_number(y + half * point.y);
  }
  return path;
}

}  // namespace

int urgency(Mark mark) {
  constexpr int ranks[] = {0, 1, 2, 3, 4, 6, 5};
  return ranks[static_cast<int>(mark)];
}

void write_mark(Svg& svg, Mark mark, double x, double y, double size) {
  if (mark == Mark::none) return;
  const Shape& shape = shapes[static_cast<int>(mark)];
  const double half = 0.5 * size;
  const auto stroke = [&](std::span<const MarkPoint> points, std::string_view ink, std::string_view fill,
                          double scale) {
    svg.empty("path", {{"d", path_of(points, x, y, scale * half)},
                       {"fill", fill},
                       {"stroke", ink},
                       {"stroke-width", 0.15 * size},
                       {"stroke-linecap", "round"},
                       {"stroke-linejoin", "round"}});
  };
  if (mark == Mark::clash) {  // solid, so that it is conspicuous in black and white as well
    stroke(triangle, shape.ink, shape.ink, 0.95);
    stroke(shape.points, "#ffffff", "none", 0.95);
    return;
  }
  if (mark == Mark::unsure) {
    svg.empty("circle", {{"cx", x},
                         {"cy", y},
                         {"r", half},
                         {"fill", "none"},
                         {"stroke", shape.ink},
                         {"stroke-width", 0.09 * size}});
  }
  stroke(shape.points, shape.ink, "none", mark == Mark::unsure ? 0.8 : 0.92);
}

}  // namespace loomgraft
