#include "heat/heat.h"

#include <cmath>

#include "heat/surface_internal.h"
#include "standards/copper.h"
#include "units/print.h"

namespace loomgraft {

using namespace heat;

Problem heat::runs_away(std::string_view what, Celsius air) {
  Problem problem;
  problem.severity = Severity::error;
  problem.code = "runs-away";
  problem.message = std::string(what) + " has no steady temperature below copper's melting point in air of " +
                    print(air) + ".";
  problem.remedy = "Take a larger wire, a smaller current or a cooler place.";
  return problem;
}

ThermalWire thermal_wire(const WireSize& size, const Insulation& insulation) {
  ThermalWire wire;
  wire.resistance = size.resistance;
  wire.area = size.area;
  wire.conductor_diameter = size.conductor_diameter;
  wire.outer_diameter = size.outer_diameter;
  wire.emissivity = insulation.emissivity;
  wire.conductivity = insulation.conductivity;
  wire.heat_capacity = insulation.heat_capacity;
  return wire;
}

double convection_coefficient(Metres diameter, Celsius surface, const Surroundings& around) {
  return SurfaceFlow(diameter, 0.0, around).convection(surface.degrees);
}

// With T the surface, q the heat per metre and W the insulation's resistance, the conductor is at T + q W, and
// q = I2 R (1 + alpha (T + q W - 20)) is linear in q: q = I2 R (1 + alpha (T - 20)) / (1 - alpha I2 R W).
tl::expected<Celsius, Problem> steady_temperature(const ThermalWire& wire, Amperes current,
                                                  const Surroundings& around) {
  const double within = insulation_resistance(wire);
  const double at_20 = current.si * current.si * wire.resistance.si;
  const double share = 1.0 - copper().temperature_coefficient * at_20 * within;
  const auto lost = [&] { return tl::unexpected(runs_away("A wire with " + print(current), around.air)); };
  if (share <= 0.0) return lost();
  const SurfaceFlow surface(wire.outer_diameter, wire.emissivity, around);
  const double skin = balanced_surface(surface, at_20 / share, around.air.degrees);
  if (std::isnan(skin)) return lost();
  const double conductor = skin + surface.at(skin).flow * within;
  if (conductor >= copper().melting.degrees) return lost();
  return Celsius{conductor};
}

Amperes steady_current(const ThermalWire& wire, Celsius limit, const Surroundings& around) {
  if (limit <= around.air) return {};
  const SurfaceFlow surface(wire.outer_diameter, wire.emissivity, around);
  const double skin = surface_under(surface, limit.degrees, insulation_resistance(wire), around.air.degrees);
  return {std::sqrt(surface.at(skin).flow / (wire.resistance.si * copper_factor(limit)))};
}

}  // namespace loomgraft
