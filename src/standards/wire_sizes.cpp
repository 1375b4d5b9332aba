#include "standards/wire_sizes.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "standards/copper.h"
#include "standards/data_cell.h"
#include "standards/data_table.h"
#include "units/print.h"

namespace loomgraft {
namespace {

constexpr double same_size = 0.02;  // of the area

using Sizes = std::vector<WireSize>;

double ratio(SquareMetres a, SquareMetres b) {
  return a.si > b.si ? a.si / b.si : b.si / a.si;
}

const WireSize& nearest(std::span<const WireSize> sizes, SquareMetres area) {
  return *std::ranges::min_element(sizes, {},
                                   [area](const WireSize& size) { return ratio(size.area, area); });
}

Metres wall_of(const WireSize& size) {
  return (size.outer_diameter - size.conductor_diameter) / 2.0;
}

// Strands leave gaps: the conductor is wider than its copper, by the ratio of the nearest metric size.
void add_diameters_as_metric(WireSize& size, std::span<const WireSize> metric) {
  const WireSize& like = nearest(metric, size.area);
  size.conductor_diameter = like.conductor_diameter * std::sqrt(size.area / like.area);
  if (!(size.outer_diameter.si > 0)) size.outer_diameter = size.conductor_diameter + wall_of(like) * 2.0;
}

Sizes load_metric() {
  const DataTable table("wire_sizes.csv");
  Sizes sizes;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const auto cell = [&](std::string_view name) -> const std::string& {
      return table.at(row, table.column(name));
    };
    if (cell("system") != "metric") continue;
    sizes.push_back({cell("size") + " mm²", square_millimetres(number_cell(cell("area_mm2"))),
                     OhmsPerMetre{number_cell(cell("mohm_per_m")) * 1e-3},
                     millimetres(number_cell(cell("conductor_mm"))),
                     millimetres(number_cell(cell("outer_mm"))), cell("source"), cell("status")});
  }
  std::ranges::sort(sizes, {}, &WireSize::area);
  return sizes;
}

SquareMetres round_area(Metres diameter) {
  return {std::numbers::pi / 4.0 * diameter.si * diameter.si};
}

std::string awg_name(int gauge) {
  return gauge > 0 ? "AWG " + std::to_string(gauge) : "AWG " + std::to_string(1 - gauge) + "/0";
}

Sizes load_awg(std::span<const WireSize> metric) {
  const DataTable table("wire_sizes.csv");
  Sizes sizes;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const auto cell = [&](std::string_view name) -> const std::string& {
      return table.at(row, table.column(name));
    };
    if (cell("system") != "awg") continue;
    const int gauge = static_cast<int>(number_cell(cell("size")));
    WireSize size;
    size.name = awg_name(gauge);
    size.area = round_area(awg_diameter(gauge));
    size.resistance = {copper().resistivity * copper().strand_lay / size.area.si};
    size.outer_diameter = millimetres(figure_cell(cell("outer_mm"), SystemVolts::nominal_12).value_or(0.0));
    size.source = cell("source");
    size.status = cell("status");
    add_diameters_as_metric(size, metric);
    sizes.push_back(std::move(size));
  }
  std::ranges::sort(sizes, {}, &WireSize::area);
  return sizes;
}

const std::array<Sizes, 2>& all_sizes() {
  static const std::array<Sizes, 2> both = [] {
    std::array<Sizes, 2> sizes{load_metric(), {}};
    sizes[1] = load_awg(sizes[0]);
    return sizes;
  }();
  return both;
}

// The largest ratio of a listed metric size's resistance to that of bare copper; a computed size gets the
// same.
double most_above_copper(std::span<const WireSize> metric) {
  double most = 1.0;
  for (const WireSize& size : metric)
    most = std::max(most, size.resistance.si * size.area.si / copper().resistivity);
  return most;
}

WireSize computed_size(SquareMetres area) {
  const auto metric = wire_sizes(WireSystem::metric);
  WireSize size;
  size.name = print(area);
  size.area = area;
  size.resistance = {copper().resistivity * most_above_copper(metric) / area.si};
  size.source = "IACS copper, lay and wall as of the metric sizes beside it";
  size.status = "computed";
  add_diameters_as_metric(size, metric);
  return size;
}

}  // namespace

std::span<const WireSize> wire_sizes(WireSystem system) {
  return all_sizes()[static_cast<std::size_t>(system)];
}

WireSize wire_size_of(SquareMetres area) {
  for (const WireSystem system : {WireSystem::metric, WireSystem::awg}) {
    const WireSize& size = nearest(wire_sizes(system), area);
    if (ratio(size.area, area) <= 1.0 + same_size) return size;
  }
  return computed_size(area);
}

// ASTM B258: 39 equal steps from 0.005 in (36) to 0.46 in (4/0), whose ratio is 92.
Metres awg_diameter(int gauge) {
  return millimetres(0.127 * std::pow(92.0, (36.0 - gauge) / 39.0));
}

std::string nearest_awg(SquareMetres area) {
  constexpr int thickest = -3;
  constexpr int thinnest = 40;
  int best = thinnest;
  for (int gauge = thickest; gauge < thinnest; ++gauge) {
    if (ratio(round_area(awg_diameter(gauge)), area) < ratio(round_area(awg_diameter(best)), area))
      best = gauge;
  }
  return awg_name(best);
}

}  // namespace loomgraft
