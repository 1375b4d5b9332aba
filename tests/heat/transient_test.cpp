#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "standards/copper.h"
#include "tests/heat/wires.h"

namespace loomgraft::heat_transient_test {
namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();

ThermalWire thin_wall() {
  return wire_of(18.5, 1.5, 2.1, 1.0);
}

// The same two stores by Runge and Kutta in small steps, as slow and plain as it can be.
double plainly_after(const ThermalWire& wire, double amperes, double start, double seconds, double air) {
  const double alpha = copper().temperature_coefficient;
  const double k = copper().adiabatic_constant * 1e6;
  const double store = k * k * copper().resistivity * alpha * wire.area.si;
  const double outer = wire.outer_diameter.si;
  const double inner = wire.conductor_diameter.si;
  const double skin_store = wire.heat_capacity * M_PI / 4 * (outer * outer - inner * inner);
  const double within = std::log(outer / inner) / (2 * M_PI * wire.conductivity);
  const auto off = [&](double skin) {
    const double radiated =
        wire.emissivity * 5.670374e-8 * (std::pow(skin + 273.15, 4) - std::pow(air + 273.15, 4));
    return M_PI * outer *
           (convection_coefficient(wire.outer_diameter, {skin}, {{air}}) * (skin - air) + radiated);
  };
  double core = start;
  double skin = start;
  for (int i = 0; i < 100; ++i) skin = start - off(skin) * within;
  const auto core_speed = [&](double c, double s) {
    return (amperes * amperes * wire.resistance.si * (1 + alpha * (c - 20)) - (c - s) / within) / store;
  };
  const auto skin_speed = [&](double c, double s) { return ((c - s) / within - off(s)) / skin_store; };
  constexpr int steps = 20000;
  const double h = seconds / steps;
  for (int i = 0; i < steps; ++i) {
    const double c1 = core_speed(core, skin), s1 = skin_speed(core, skin);
    const double c2 = core_speed(core + h / 2 * c1, skin + h / 2 * s1),
                 s2 = skin_speed(core + h / 2 * c1, skin + h / 2 * s1);
    const double c3 = core_speed(core + h / 2 * c2, skin + h / 2 * s2),
                 s3 = skin_speed(core + h / 2 * c2, skin + h / 2 * s2);
    const double c4 = core_speed(core + h * c3, skin + h * s3), s4 = skin_speed(core + h * c3, skin + h * s3);
    core += h / 6 * (c1 + 2 * c2 + 2 * c3 + c4);
    skin += h / 6 * (s1 + 2 * s2 + 2 * s3 + s4);
  }
  return core;
}

TEST(Transient, MatchesPlainIntegration) {
  const ThermalWire wire = thin_wall();
  for (const double amperes : {0.0, 15.0, 30.0, 45.0, 100.0}) {
    for (const double seconds : {0.02, 0.3, 2.0, 15.0, 60.0}) {
      if (amperes > 90 && seconds > 5) continue;
      const double start = 70;
      const double plain = plainly_after(wire, amperes, start, seconds, 40);
      if (plain > 900) continue;
      const double now = temperature_after(wire, {amperes}, {start}, {seconds}, {{40}}).degrees;
      EXPECT_NEAR(now, plain, 0.002 * std::abs(plain - start) + 0.01) << amperes << " A " << seconds << " s";
    }
  }
}

TEST(Transient, IsAdiabaticWhenShort) {
  const ThermalWire wire = thin_wall();
  // IEC 60949 with the wire's own resistance in place of resistivity over area.
  const double share = copper().resistivity / (wire.resistance.si * wire.area.si);
  double last = 1.0;
  for (const double amperes : {100.0, 300.0, 1000.0, 10000.0, 100000.0}) {
    const double alone = share * adiabatic_time(wire.area, {amperes}, {40}, {160}).si;
    const double over = time_to_reach(wire, {amperes}, {40}, {160}, {{40}}).si / alone - 1.0;
    // What the insulation takes up meanwhile shrinks with the time; beta = 234.45 against 234.5 stays.
    EXPECT_GT(over, -1e-3) << amperes;
    EXPECT_LT(over, last) << amperes;
    last = over;
  }
  EXPECT_LT(last, 1e-3);
}

TEST(Transient, IsSteadyWhenLong) {
  const ThermalWire wire = thin_wall();
  for (const double amperes : {0.0, 5.0, 20.0, 30.0}) {
    const double steady = steady_temperature(wire, {amperes}, {{40}})->degrees;
    for (const double start : {40.0, 90.0, 200.0}) {
      EXPECT_NEAR(temperature_after(wire, {amperes}, {start}, {3600}, {{40}}).degrees, steady, 1e-6);
      EXPECT_NEAR(temperature_after(wire, {amperes}, {start}, {infinite}, {{40}}).degrees, steady, 1e-6);
    }
    EXPECT_EQ(time_to_reach(wire, {amperes}, {40}, {steady + 1e-6}, {{40}}).si, infinite);
    if (amperes == 0.0) continue;
    EXPECT_LT(time_to_reach(wire, {amperes}, {40}, {steady - 1e-3}, {{40}}).si, 600.0);
  }
}

TEST(Transient, TimeAndTemperatureAgree) {
  const ThermalWire wire = thin_wall();
  for (double amperes = 24.0; amperes < 2000.0; amperes *= 1.3) {
    const Seconds time = time_to_reach(wire, {amperes}, {50}, {100}, {{40}});
    ASSERT_TRUE(std::isfinite(time.si)) << amperes;
    EXPECT_NEAR(temperature_after(wire, {amperes}, {50}, time, {{40}}).degrees, 100.0, 0.05) << amperes;
  }
}

// From the steady current to a dead short in steps of 1 %: no jump, no rise, and a slope that only grows
// flatter.
TEST(Transient, TimeFallsSmoothlyWithCurrent) {
  const ThermalWire wire = thin_wall();
  const double rests = steady_current(wire, {100}, {{40}}).si;
  double last_time = infinite;
  double last_slope = -infinite;
  for (double over = 1.001; over < 100.0; over *= 1.01) {
    const double time = time_to_reach(wire, {rests * over}, {60}, {100}, {{40}}).si;
    ASSERT_LT(time, last_time) << over;
    if (last_time < infinite) {
      const double slope = std::log(time / last_time) / std::log(1.01);
      EXPECT_GT(slope, last_slope - 0.02) << over;
      last_slope = slope;
    }
    last_time = time;
  }
  EXPECT_NEAR(last_slope, -2.0, 0.02);
}

TEST(Transient, WarmsSteadilyInTime) {
  const ThermalWire wire = thin_wall();
  double last = 50.0;
  for (double seconds = 1e-4; seconds < 1e4; seconds *= 1.07) {
    const double now = temperature_after(wire, {28}, {50}, {seconds}, {{40}}).degrees;
    EXPECT_GE(now, last - 1e-6) << seconds;
    last = now;
  }
}

TEST(Transient, IsMonotoneInSizeStartAndAir) {
  const Insulation& pvc = *insulation("class B");
  const auto sizes = wire_sizes(WireSystem::metric);
  for (double amperes = 20.0; amperes < 3000.0; amperes *= 1.7) {
    for (std::size_t i = 0; i + 1 < sizes.size(); ++i) {
      const double small = time_to_reach(thermal_wire(sizes[i], pvc), {amperes}, {60}, {100}, {{40}}).si;
      const double large = time_to_reach(thermal_wire(sizes[i + 1], pvc), {amperes}, {60}, {100}, {{40}}).si;
      EXPECT_LE(small, large) << sizes[i].name << " " << amperes;
    }
    const ThermalWire wire = thin_wall();
    EXPECT_LE(time_to_reach(wire, {amperes}, {70}, {100}, {{40}}).si,
              time_to_reach(wire, {amperes}, {60}, {100}, {{40}}).si);
    EXPECT_LE(time_to_reach(wire, {amperes}, {60}, {100}, {{50}}).si,
              time_to_reach(wire, {amperes}, {60}, {100}, {{40}}).si);
  }
}

TEST(Transient, EndsAtMelting) {
  EXPECT_EQ(temperature_after(thin_wall(), {500}, {40}, {100}, {{40}}), copper().melting);
  EXPECT_EQ(temperature_after(thin_wall(), {500}, {40}, {infinite}, {{40}}), copper().melting);
  EXPECT_EQ(time_to_reach(thin_wall(), {500}, {120}, {100}, {{40}}).si, 0.0);
}

TEST(Transient, AcceptsBareWires) {
  const ThermalWire bare = wire_of(18.5, 1.5, 1.5, 1.0);
  const double steady = steady_temperature(bare, {20}, {{40}})->degrees;
  EXPECT_NEAR(temperature_after(bare, {20}, {40}, {3600}, {{40}}).degrees, steady, 0.01);
}

}  // namespace
}  // namespace loomgraft::heat_transient_test
