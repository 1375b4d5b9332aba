#include "circuit/coil_turn_off.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "tests/network/ngspice.h"

namespace loomgraft::circuit_coil_turn_off_test {
namespace {

using namespace loomgraft::circuit;

// V * Rp / Rcoil for 55 ohm at 13.5 V: the theory column of a relay maker's note on coil suppression (TE
// application note 13C3264, from memory), computed to a millivolt.
TEST(CoilDecay, PeaksOfResistorsAcrossACoil) {
  const struct {
    double ohms;
    double volts;
  } rows[] = {{680, 166.909}, {470, 115.364}, {330, 81.0}, {220, 54.0}, {100, 24.545}, {82, 20.127}};
  for (const auto& row : rows) {
    const CoilDecay decay = decay_with_resistor({{0.4}, {55.0}, {13.5}}, {row.ohms});
    EXPECT_NEAR(decay.across_coil.si, row.volts, 5e-4) << row.ohms << " ohm";
    EXPECT_NEAR(decay.at_driver.si, row.volts + 13.5, 5e-4);
  }
}

// Delays that the same note measured, 1.5 ms of them the armature's with nothing across the coil. Inductance
// and release volts are fitted to one row; the others follow within a tenth, the diode within a quarter.
TEST(CoilDecay, DelaysOfARealRelay) {
  constexpr double armature = 1.5e-3;
  constexpr double release = 3.0 / 55.0;  // A: 3 V across the coil
  const double inductance = (6.1e-3 - armature) * (55.0 + 82.0) / std::log(13.5 / 3.0);
  const WorkedCoil coil{{inductance}, {55.0}, {13.5}};
  const struct {
    double ohms;
    double delay;
  } rows[] = {{680, 2.3e-3}, {470, 2.8e-3}, {330, 3.2e-3}, {220, 3.7e-3}, {100, 5.5e-3}};
  for (const auto& row : rows) {
    const double delay = time_to(decay_with_resistor(coil, {row.ohms}), {release}).si + armature;
    EXPECT_NEAR(delay, row.delay, 0.1 * row.delay) << row.ohms << " ohm";
  }
  const double diode = time_to(decay_with_diode(coil, {0.7}, {0.05}), {release}).si + armature;
  EXPECT_NEAR(diode, 9.8e-3, 0.25 * 9.8e-3);
  const double zener = time_to(decay_with_zener(coil, {24.0}, {0.7}), {release}).si + armature;
  EXPECT_GT(zener, armature);
  EXPECT_LT(zener, 1.5 * 1.9e-3 + armature);
}

TEST(CoilDecay, SaysWhenACurrentIsNeverReached) {
  const CoilDecay resistor = decay_with_resistor({{0.4}, {55.0}, {13.5}}, {100.0});
  EXPECT_TRUE(std::isinf(time_to(resistor, {0.0}).si));
  EXPECT_DOUBLE_EQ(time_to(resistor, {1.0}).si, 0.0);
  const CoilDecay diode = decay_with_diode({{0.4}, {55.0}, {13.5}}, {0.7}, {0.05});
  const Seconds end = time_to(diode, {0.0});
  EXPECT_TRUE(std::isfinite(end.si));
  EXPECT_DOUBLE_EQ(current_after(diode, {end.si * 2}).si, 0.0);
}

// All of L I0^2 / 2 goes into a clamp that stands alone; with a supply behind it, more.
TEST(CoilDecay, EnergyIntoTheClamp) {
  const WorkedCoil coil{{0.02}, {1e-6}, {1e-6}};  // next to no resistance: I0 = 1 A, and it stays in the loop
  const CoilDecay alone = decay_with_zener(coil, {40.0}, {0.0});
  EXPECT_NEAR(energy_into_clamp(alone, {40.0}).si, 0.5 * 0.02, 1e-8);
  const CoilDecay driver = decay_with_clamp({{0.02}, {12.0}, {14.0}}, {45.0});
  // The integral by small steps.
  double charge = 0.0;
  const double end = time_to(driver, {0.0}).si;
  constexpr int steps = 20000;
  for (int k = 0; k < steps; ++k) charge += current_after(driver, {end * (k + 0.5) / steps}).si * end / steps;
  EXPECT_NEAR(energy_into_clamp(driver, {45.0}).si, 45.0 * charge, 1e-6 * 45.0 * charge);
}

// Current of the coil in ngspice at a time; `path` is what takes it over, between nodes a (the driver's end)
// and b (the supply's end) or 0.
double ngspice_current(const WorkedCoil& coil, const std::string& path, double time) {
  const std::string deck = fmt::format(
      "* coil\nV1 b 0 {}\nL1 b c {} ic={}\nR1 c a {}\n{}\n.tran {} {} 0 {} uic\n"
      ".meas tran found find i(L1) at={}\n.end\n",
      coil.supply.si, coil.inductance.si, coil.supply.si / coil.resistance.si, coil.resistance.si, path,
      time / 1000, time * 1.01, time / 5000, time);
  const std::string printed = reference::ngspice_output(deck);
  const std::size_t at = printed.find("found");
  const std::size_t equals = printed.find('=', at);
  return at == std::string::npos ? std::nan("") : std::strtod(printed.c_str() + equals + 1, nullptr);
}

// ngspice's transient analysis, to 1 %: three ways, three times each.
TEST(CoilDecay, AgreesWithNgspice) {
  if (!reference::have_ngspice()) GTEST_SKIP() << "ngspice is not installed";
  const WorkedCoil coil{{0.4}, {85.0}, {13.5}};
  const struct {
    const char* name;
    CoilDecay decay;
    std::string path;
  } ways[] = {
      {"diode", decay_with_diode(coil, {0.7}, {0.5}),
       "Bd a b I = v(a,b) < 0.7 ? v(a,b)*1e-9 : 0.7e-9 + (v(a,b) - 0.7)/0.5"},
      {"resistor", decay_with_resistor(coil, {680.0}), "Rp a b 680"},
      {"clamp", decay_with_clamp(coil, {45.0}),
       "Bc a 0 I = v(a) < 45 ? v(a)*1e-9 : 45e-9 + (v(a) - 45)/0.001"},
  };
  for (const auto& way : ways) {
    for (const double part : {0.2, 0.5, 0.8}) {
      const Amperes wanted = way.decay.start * (1.0 - part);
      const Seconds time = time_to(way.decay, wanted);
      EXPECT_NEAR(ngspice_current(coil, way.path, time.si), wanted.si, 0.01 * wanted.si)
          << way.name << " after " << time.si << " s";
    }
  }
}

}  // namespace
}  // namespace loomgraft::circuit_coil_turn_off_test
