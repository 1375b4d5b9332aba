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
    FuseFamily family;
    family.name = cell("family");
    family.text = cell("text");
    family.gates = gates_of(cell("gates_of"));
    family.ratings = ratings_of(cell("ratings_of"));
    family.offered = cell("offered") == "yes";
    if (!cell("breaking_a").empty()) family.breaking = Amperes{number_cell(cell("breaking_a"))};
    family.breaking_source = cell("breaking_source");
    family.breaking_status = cell("breaking_status");
    families.push_back(std::move(family));
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

bool is_looked_up(const FuseFamily& family) {
  return std::ranges::all_of(
      family.gates, [](const FuseGate& gate) { return !gate.longest || gate.status == "looked up"; });
}

FamilyOfFuse family_of_fuse(std::string_view name, bool is_link, std::optional<Amperes> rating) {
  const auto families = fuse_families();
  if (!name.empty()) {
    if (const FuseFamily* exact = fuse_family(name)) return {exact, false};
    for (const FuseFamily& family : families) {
      if (family.name.starts_with(std::string(name) + " ")) return {&family, false};
    }
  }
  if (is_link) return {fuse_family("fusible link"), true};
  const FuseFamily* plain = fuse_family("");
  if (!rating || *rating <= plain->ratings.back().rating) return {plain, true};
  const auto choice = smallest_fuse(*plain, *rating);
  return {choice ? choice->family : fuse_family("large bolt-down"), true};
}

Ohms cold_resistance(const FuseFamily& family, Amperes rating) {
  const FuseRating* left = nullptr;
  for (const FuseRating& row : family.ratings) {
    if (row.rating < rating) {
      left = &row;
      continue;
    }
    if (row.rating == rating || left == nullptr) return {row.cold_resistance.si * (row.rating / rating)};
    const double share = std::log(rating / left->rating) / std::log(row.rating / left->rating);
    return {left->cold_resistance.si * std::pow(row.cold_resistance / left->cold_resistance, share)};
  }
  return {left->cold_resistance.si * (left->rating / rating)};
}

std::optional<FuseChoice> smallest_fuse(const FuseFamily& preferred, Amperes needed) {
  const auto of = [&](const FuseFamily& family) -> std::optional<FuseChoice> {
    for (const FuseRating& row : family.ratings) {
      if (row.rating >= needed) return FuseChoice{&family, row.rating};
    }
    return std::nullopt;
  };
  if (const auto found = of(preferred)) return found;
  for (const FuseFamily& family : fuse_families()) {
    if (!family.offered) continue;
    if (const auto found = of(family)) return found;
  }
  return std::nullopt;
}

Amperes carried_for_good(const FuseFamily& family, Amperes rating) {
  for (const FuseGate& gate : family.gates) {
    if (gate.longest) return {rating.si * gate.multiple};
  }
  return rating;
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
