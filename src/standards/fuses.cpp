#include "standards/fuses.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "standards/data_cell.h"
#include "standards/data_table.h"

namespace loomgraft {
namespace {

constexpr double never = std::numeric_limits<double>::infinity();

std::optional<Seconds> seconds_cell(const std::string& text) {
  const auto value = figure_cell(text, SystemVolts::nominal_12);
  return value ? std::optional<Seconds>{Seconds{*value}} : std::nullopt;
}

std::vector<FuseGate> gates_of(std::string_view family) {
  const DataTable table("fuse_gates.csv");
  std::vector<FuseGate> gates;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const auto cell = [&](std::string_view name) -> const std::string& {
      return table.at(row, table.column(name));
    };
    if (cell("family") != family) continue;
    gates.push_back({number_cell(cell("multiple")), seconds_cell(cell("shortest_s")),
                     seconds_cell(cell("longest_s")), cell("source"), cell("status")});
  }
  std::ranges::sort(gates, {}, &FuseGate::multiple);
  return gates;
}

std::vector<FuseRating> ratings_of(std::string_view family) {
  const DataTable table("fuses.csv");
  std::vector<FuseRating> ratings;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const auto cell = [&](std::string_view name) -> const std::string& {
      return table.at(row, table.column(name));
    };
    if (cell("family") != family) continue;
    ratings.push_back({Amperes{number_cell(cell("rating_a"))}, milliohms(number_cell(cell("cold_mohm"))),
                       cell("colour"), cell("source"), cell("status")});
  }
  std::ranges::sort(ratings, {}, &FuseRating::rating);
  return ratings;
}

std::vector<FuseFamily> load_fuses() {
  const DataTable table("fuse_families.csv");
  std::vector<FuseFamily> families;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const auto cell = [&](std::string_view name) -> const std::string& {
      return table.at(row, table.column(name));
    };
    families.push_back(
        {cell("family"), cell("text"), gates_of(cell("gates_of")), ratings_of(cell("ratings_of"))});
  }
  return families;
}

// The time at a multiple of the rating on the curve through one side of the gates. `below` is the time at
// multiples that no gate covers. Needs gates by rising multiple.
Seconds on_curve(const std::vector<FuseGate>& gates, std::optional<Seconds> FuseGate::*side, double multiple,
                 Seconds below) {
  const FuseGate* left = nullptr;
  for (const FuseGate& gate : gates) {
    if (!(gate.*side)) continue;
    if (gate.multiple > multiple) {
      if (left == nullptr) return below;
      const double share = std::log(multiple / left->multiple) / std::log(gate.multiple / left->multiple);
      const double from = std::log((left->*side)->si);
      return {std::exp(from + share * (std::log((gate.*side)->si) - from))};
    }
    left = &gate;
  }
  if (left == nullptr) return below;
  if (multiple == left->multiple) return *(left->*side);
  // The element melts before it can shed heat: I2t is constant.
  const double over = multiple / left->multiple;
  return {(left->*side)->si / (over * over)};
}

}  // namespace

std::span<const FuseFamily> fuse_families() {
  static const std::vector<FuseFamily> families = load_fuses();
  return families;
}

const FuseFamily* fuse_family(std::string_view name) {
  const auto families = fuse_families();
  if (name.empty()) return &families.front();
  const auto found = std::ranges::find(families, name, &FuseFamily::name);
  return found == families.end() ? nullptr : &*found;
}

Seconds longest_opening(const FuseFamily& family, Amperes rating, Amperes current) {
  return on_curve(family.gates, &FuseGate::longest, current / rating, Seconds{never});
}

// A fuse carries its rating. Above it, where no gate says how long at least, nothing is promised.
Seconds shortest_opening(const FuseFamily& family, Amperes rating, Amperes current) {
  const double multiple = current / rating;
  if (multiple <= 1.0) return {never};
  const auto promised = [](const FuseGate& gate) { return gate.shortest.has_value(); };
  const bool any = std::ranges::any_of(family.gates, promised);
  return on_curve(family.gates, &FuseGate::shortest, multiple, Seconds{any ? never : 0.0});
}

}  // namespace loomgraft
