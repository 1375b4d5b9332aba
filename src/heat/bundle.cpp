// Loaded wires lie together in the middle, the hottest innermost, and the rest around them: the arrangement in which
// they get warmest. Each ring of wires then conducts outwards the heat made within it, and all losses grow with the
// conductors' temperature, so one unknown remains: the temperature of the surface.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "heat/surface_internal.h"
#include "standards/copper.h"
#include "standards/data_cell.h"

namespace loomgraft {

using namespace heat;
namespace {

struct Packing {
  double count = 0.0;
  double radius = 0.0;  // of the container, in radii of the circles
};

std::vector<Packing> read_packings() {
  const DataTable table("bundle_fill.csv");
  const std::size_t count = table.column("count");
  const std::size_t radius = table.column("container_radius");
  std::vector<Packing> packings;
  for (std::size_t r = 0; r < table.rows(); ++r) {
    packings.push_back({number_cell(table.at(r, count)), number_cell(table.at(r, radius))});
  }
  return packings;
}

// Share of the container that `count` equal circles fill; for counts between the rows and beyond them too.
double fill_of(double count) {
  static const std::vector<Packing> packings = read_packings();
  const Packing& last = packings.back();
  if (count >= last.count) return last.count / (last.radius * last.radius);
  const auto above = std::upper_bound(packings.begin() + 1, packings.end(), count,
                                      [](double value, const Packing& row) { return value < row.count; });
  const Packing& a = *(above - 1);
  const double share = (count - a.count) / (above->count - a.count);
  const double radius = a.radius + share * (above->radius - a.radius);
  return count / (radius * radius);
}

struct Bundle {
  double diameter = 0.0;
  double wires = 0.0;         // sum of the squared diameters
  double emissivity = 0.0;    // by diameter
  double conductivity = 0.0;  // of the whole, W/(m K)
};

// Unequal wires count as (sum d)^2 / sum d^2 equal ones; the two widest always lie side by side. A bundle
// laid by hand is looser than the best packing, the more so the more wires it has.
Metres packed_diameter(std::span<const BundleWire> bundle) {
  double sum = 0.0;
  double squares = 0.0;
  double widest = 0.0;
  double second = 0.0;
  for (const BundleWire& one : bundle) {
    const double d = one.wire.outer_diameter.si;
    sum += d;
    squares += d * d;
    second = std::max(second, std::min(widest, d));
    widest = std::max(widest, d);
  }
  static const double looseness = heat_figure("bundle_looseness");
  const double count = sum * sum / squares;
  const double fill = fill_of(count) * (1.0 - (1.0 - looseness) * (1.0 - 1.0 / count));
  return {std::max(std::sqrt(squares / fill), widest + second)};
}

// A cylinder of `inner` in a cylinder of `outer`, share `filled`: the composite cylinder assemblage of Hashin
// and Rosen 1964 (equal to Maxwell's formula in two dimensions, Rayleigh 1892).
double of_two_phases(double inner, double outer, double filled) {
  return outer * (inner * (1.0 + filled) + outer * (1.0 - filled)) /
         (inner * (1.0 - filled) + outer * (1.0 + filled));
}

// Copper within insulation, and such wires within air. No credit for wires that touch.
Bundle homogenised(std::span<const BundleWire> bundle, const Surroundings& around) {
  Bundle whole;
  whole.diameter = packed_diameter(bundle).si;
  double wire_conductivity = 0.0;
  double sum = 0.0;
  for (const BundleWire& one : bundle) {
    const double d = one.wire.outer_diameter.si;
    const double ratio = one.wire.conductor_diameter.si / d;
    whole.wires += d * d;
    sum += d;
    whole.emissivity += d * one.wire.emissivity;
    wire_conductivity += d * d * of_two_phases(copper().conductivity, one.wire.conductivity, ratio * ratio);
  }
  whole.emissivity /= sum;
  const double fill = whole.wires / (whole.diameter * whole.diameter);
  whole.conductivity =
      of_two_phases(wire_conductivity / whole.wires, air_conductivity(around.air.degrees), fill);
  return whole;
}

struct Ring {
  double area = 0.0;  // squared diameter of the wire
  double heat = 0.0;  // at 20 C, W/m
};

// Temperature from the middle wire's skin to the bundle's surface, for the heat at 20 C. A ring of evenly
// made heat between the areas a and b, with Q made within a and Q + g (b - a) within b, takes
// (g (b - a) + (Q - g a) ln(b / a)) / (4 pi k).
double rise_within(std::span<const BundleWire> bundle, double conductivity) {
  std::vector<Ring> rings;
  rings.reserve(bundle.size());
  for (const BundleWire& one : bundle) {
    const double d = one.wire.outer_diameter.si;
    rings.push_back({d * d, one.current.si * one.current.si * one.wire.resistance.si});
  }
  std::stable_sort(rings.begin(), rings.end(),
                   [](const Ring& a, const Ring& b) { return a.heat * b.area > b.heat * a.area; });
  double rise = 0.0;
  double area = rings.front().area;
  double heat = rings.front().heat;
  for (std::size_t i = 1; i < rings.size(); ++i) {
    const double density = rings[i].heat / rings[i].area;
    rise += rings[i].heat + (heat - density * area) * std::log1p(rings[i].area / area);
    area += rings[i].area;
    heat += rings[i].heat;
  }
  return rise / (4.0 * std::numbers::pi * conductivity);
}

struct BundleState {
  Bundle whole;
  double surface = 0.0;
  double middle = 0.0;  // at the innermost wire's skin
  double growth = 0.0;  // losses at the hottest conductor's temperature to those at 20 C
};

double heat_at_20(const BundleWire& one) {
  return one.current.si * one.current.si * one.wire.resistance.si;
}

// Every loss is taken at the hottest conductor's temperature: T = skin + growth * rise, growth = 1 + alpha (T
// - 20), hence growth = (1 + alpha (skin - 20)) / (1 - alpha rise).
tl::expected<BundleState, Problem> balance(std::span<const BundleWire> bundle, const Surroundings& around) {
  BundleState state;
  state.whole = homogenised(bundle, around);
  const double rise = rise_within(bundle, state.whole.conductivity);
  double heat = 0.0;
  double own = 0.0;
  for (const BundleWire& one : bundle) {
    const double made = heat_at_20(one);
    heat += made;
    own = std::max(own, made * insulation_resistance(one.wire));
  }
  const double alpha = copper().temperature_coefficient;
  const double share = 1.0 - alpha * (rise + own);
  const auto lost = [&] {
    return tl::unexpected(runs_away("A bundle of " + std::to_string(bundle.size()) + " wires", around.air));
  };
  if (share <= 0.0) return lost();
  const SurfaceFlow surface({state.whole.diameter}, state.whole.emissivity, around);
  state.surface = balanced_surface(surface, heat / share, around.air.degrees);
  if (std::isnan(state.surface)) return lost();
  state.growth = (1.0 + alpha * (state.surface - 20.0)) / share;
  state.middle = state.surface + state.growth * rise;
  if (state.middle + state.growth * own >= copper().melting.degrees) return lost();
  return state;
}

// Idle neighbours spread a wire's heat over more surface. That is not relied on: no wire of a bundle is taken to be
// cooler than it would be alone.
tl::expected<std::vector<Celsius>, Problem> conductors(std::span<const BundleWire> bundle,
                                                       const BundleState& state, const Surroundings& around) {
  std::vector<Celsius> temperatures;
  temperatures.reserve(bundle.size());
  for (const BundleWire& one : bundle) {
    const double heat = state.growth * heat_at_20(one);
    const Celsius within{state.middle + heat * insulation_resistance(one.wire)};
    temperatures.push_back(within);
    const SurfaceFlow alone(one.wire.outer_diameter, one.wire.emissivity, around);
    if (alone.at(state.middle).flow >= heat) continue;
    const auto steady = steady_temperature(one.wire, one.current, around);
    if (!steady) return tl::unexpected(steady.error());
    temperatures.back() = std::max(within, *steady);
  }
  return temperatures;
}

}  // namespace

tl::expected<std::vector<Celsius>, Problem> bundle_temperatures(std::span<const BundleWire> bundle,
                                                                const Surroundings& around) {
  return balance(bundle, around).and_then([&](const BundleState& state) {
    return conductors(bundle, state, around);
  });
}

tl::expected<BundleTemperature, Problem> bundle_temperature(std::span<const BundleWire> bundle,
                                                            const Surroundings& around) {
  const auto state = balance(bundle, around);
  if (!state) return tl::unexpected(state.error());
  const auto temperatures = conductors(bundle, *state, around);
  if (!temperatures) return tl::unexpected(temperatures.error());
  const auto hottest = std::max_element(temperatures->begin(), temperatures->end());
  BundleTemperature result;
  result.hottest = *hottest;
  result.wire = static_cast<std::size_t>(hottest - temperatures->begin());
  result.surface = {state->surface};
  result.diameter = {state->whole.diameter};
  return result;
}

}  // namespace loomgraft
