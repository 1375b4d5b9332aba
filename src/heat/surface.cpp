#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

#include "base/bug.h"
#include "heat/surface_internal.h"
#include "standards/copper.h"
#include "standards/data_cell.h"

namespace loomgraft::heat {
namespace {

// Air at a film temperature: what the flow needs, worked out once a row.
struct AirRow {
  double celsius = 0.0;
  double conductivity = 0.0;
  double rising = 0.0;  // Ra^(1/6) factor: Nu^(1/2) = still + rising * size * difference^(1/6)
};

std::vector<AirRow> read_air() {
  const DataTable table("air.csv");
  const std::size_t celsius = table.column("celsius");
  const std::size_t conductivity = table.column("conductivity_w_mk");
  const std::size_t viscosity = table.column("kinematic_viscosity_m2_s");
  const std::size_t prandtl = table.column("prandtl");
  std::vector<AirRow> rows;
  for (std::size_t r = 0; r < table.rows(); ++r) {
    AirRow row;
    row.celsius = number_cell(table.at(r, celsius));
    row.conductivity = number_cell(table.at(r, conductivity));
    const double nu = number_cell(table.at(r, viscosity));
    const double pr = number_cell(table.at(r, prandtl));
    const double rayleigh = heat_figure("gravity") / (row.celsius + kelvin_at_zero) * pr / (nu * nu);
    const double correction =
        std::pow(1.0 + std::pow(heat_figure("convection_prandtl") / pr, 9.0 / 16.0), 8.0 / 27.0);
    row.rising = heat_figure("convection_flow") * std::pow(rayleigh, 1.0 / 6.0) / correction;
    rows.push_back(row);
  }
  return rows;
}

const std::vector<AirRow>& air_rows() {
  static const std::vector<AirRow> rows = read_air();
  return rows;
}

struct AirAt {
  double conductivity = 0.0;
  double conductivity_slope = 0.0;
  double rising = 0.0;
  double rising_slope = 0.0;
};

// Straight between rows and on beyond the ends.
AirAt air_at(double film) {
  const std::vector<AirRow>& rows = air_rows();
  const auto above = std::upper_bound(rows.begin() + 1, rows.end() - 1, film,
                                      [](double value, const AirRow& row) { return value < row.celsius; });
  const AirRow& b = *above;
  const AirRow& a = *(above - 1);
  const double step = b.celsius - a.celsius;
  AirAt result;
  result.conductivity_slope = (b.conductivity - a.conductivity) / step;
  result.rising_slope = (b.rising - a.rising) / step;
  result.conductivity = a.conductivity + result.conductivity_slope * (film - a.celsius);
  result.rising = a.rising + result.rising_slope * (film - a.celsius);
  return result;
}

std::vector<std::pair<std::string, double>> read_figures() {
  const DataTable table("heat.csv");
  const std::size_t name = table.column("name");
  const std::size_t value = table.column("value");
  std::vector<std::pair<std::string, double>> figures;
  for (std::size_t r = 0; r < table.rows(); ++r) {
    figures.emplace_back(table.at(r, name), number_cell(table.at(r, value)));
  }
  return figures;
}

double cube_root_of_root(double value) {
  return std::cbrt(std::sqrt(value));
}

}  // namespace

double heat_figure(std::string_view name) {
  static const std::vector<std::pair<std::string, double>> figures = read_figures();
  for (const auto& [known, value] : figures) {
    if (known == name) return value;
  }
  bug("heat.csv has no figure " + std::string(name));
}

SurfaceFlow::SurfaceFlow(Metres diameter, double emissivity, const Surroundings& around)
    : diameter_(diameter.si),
      air_(around.air.degrees),
      size_(std::cbrt(around.pressure) * std::sqrt(diameter.si)) {
  static const double black_body = heat_figure("stefan_boltzmann");
  radiation_ = std::numbers::pi * diameter_ * emissivity * black_body;
  const double kelvin = air_ + kelvin_at_zero;
  air_radiates_ = kelvin * kelvin * kelvin * kelvin;
}

SurfaceFlow::Convection SurfaceFlow::convect(double surface) const {
  static const double still = heat_figure("convection_still");
  const double difference = std::abs(surface - air_);
  const AirAt air = air_at((surface + air_) / 2.0);
  const double sixth = cube_root_of_root(difference) * size_;
  const double root = still + air.rising * sixth;
  Convection result;
  result.per_length = std::numbers::pi * air.conductivity * root * root;
  const double properties =
      (air.conductivity_slope * root + 2.0 * air.conductivity * air.rising_slope * sixth) / 2.0;
  const double growth = air.conductivity * root * air.rising * sixth / 3.0;
  result.slope = result.per_length + std::numbers::pi * (growth + root * properties * (surface - air_));
  return result;
}

FlowAndSlope SurfaceFlow::at(double surface) const {
  const Convection air = convect(surface);
  const double kelvin = surface + kelvin_at_zero;
  const double cubed = kelvin * kelvin * kelvin;
  return {air.per_length * (surface - air_) + radiation_ * (cubed * kelvin - air_radiates_),
          air.slope + 4.0 * radiation_ * cubed};
}

double SurfaceFlow::convection(double surface) const {
  return convect(surface).per_length / (std::numbers::pi * diameter_);
}

// Newton's steps, kept within the bracket that the signs so far allow.
double balanced_surface(const SurfaceFlow& surface, double source, double air) {
  const double alpha = copper().temperature_coefficient;
  const auto lacking = [&](double t) -> FlowAndSlope {
    const FlowAndSlope f = surface.at(t);
    return {f.flow - source * (1.0 + alpha * (t - 20.0)), f.slope - source * alpha};
  };
  double low = air;
  double high = copper().melting.degrees;
  if (source <= 0.0) return air;
  if (lacking(high).flow < 0.0) return std::numeric_limits<double>::quiet_NaN();
  double t = air;
  for (int i = 0; i < 100; ++i) {
    const FlowAndSlope f = lacking(t);
    (f.flow < 0.0 ? low : high) = t;
    double next = t - f.flow / f.slope;
    if (!(next > low && next < high)) next = (low + high) / 2.0;
    if (std::abs(next - t) < 1e-9) return next;
    t = next;
  }
  return t;
}

double surface_under(const SurfaceFlow& surface, double conductor, double resistance, double air) {
  double low = std::min(air, conductor);
  double high = std::max(air, conductor);
  double t = conductor;
  for (int i = 0; i < 100 && high > low; ++i) {
    const FlowAndSlope f = surface.at(t);
    const double over = t + f.flow * resistance - conductor;
    (over < 0.0 ? low : high) = t;
    double next = t - over / (1.0 + f.slope * resistance);
    if (!(next >= low && next <= high)) next = (low + high) / 2.0;
    if (std::abs(next - t) < 1e-9) return next;
    t = next;
  }
  return t;
}

double air_conductivity(double celsius) {
  return air_at(celsius).conductivity;
}

double insulation_resistance(const ThermalWire& wire) {
  return std::log(wire.outer_diameter / wire.conductor_diameter) /
         (2.0 * std::numbers::pi * wire.conductivity);
}

}  // namespace loomgraft::heat
