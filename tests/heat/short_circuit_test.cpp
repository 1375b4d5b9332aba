#include <gtest/gtest.h>

#include <cmath>

#include "heat/heat.h"
#include "standards/copper.h"

namespace loomgraft::heat_short_circuit_test {
namespace {

TEST(AdiabaticK, MatchesPublishedTable) {
  // IEC 60364-4-43 / 60364-5-54 adiabatic k table, as reproduced on a public reference page (looked up);
  // printed as whole numbers.
  struct Row {
    double start, end, k, tolerance;
  };
  const Row published[] = {{70, 160, 115, 0.5},
                           {70, 140, 103, 0.5},
                           {90, 160, 100, 0.5},
                           {90, 140, 86, 0.5},
                           {90, 250, 143, 0.5},
                           {60, 200, 141, 0.5},
                           {85, 220, 134, 0.5},
                           {180, 350, 132, 0.5},
                           // https://sparkcerts.co.uk/tools/adiabatic-calculator (looked up)
                           {30, 160, 143, 0.5},
                           // Worked out from K = 226 and beta = 234.5, to the digits given.
                           {70, 160, 115.0, 0.05},
                           {70, 140, 102.8, 0.05},
                           {90, 160, 99.88, 0.005},
                           {90, 140, 85.55, 0.005},
                           {90, 250, 143.08, 0.005},
                           {60, 200, 140.94, 0.005},
                           {85, 220, 134.17, 0.005},
                           {180, 350, 132.49, 0.005},
                           {30, 160, 142.9, 0.05},
                           {85, 160, 103.78, 0.005},
                           {100, 160, 91.8, 0.05},
                           {105, 200, 112.26, 0.005},
                           {125, 250, 123.46, 0.005},
                           {25, 1083, 288.07, 0.005}};
  for (const Row& row : published) {
    EXPECT_NEAR(adiabatic_k({row.start}, {row.end}), row.k, row.tolerance) << row.start << " to " << row.end;
  }
  EXPECT_EQ(adiabatic_k({100}, {90}), 0.0);
}

TEST(AdiabaticTime, MatchesWorkedExamples) {
  struct Row {
    double amperes, seconds, start, end, mm2, tolerance;
  };
  const Row rows[] = {
      // https://calcdomain.com/adiabatic-equation.html: 3000 A, 0.4 s, k 115 needs 16.5 mm2 (looked up).
      {3000, 0.4, 70, 160, 16.5, 0.01},
      // https://www.electriciansforums.net/threads/adiabatic-calculation-confirmation.3763/: 0.565 mm2
      // (looked up).
      {650, 0.01, 70, 160, 0.565, 0.001},
      // http://18.223.143.204/grassy-flare/short-circuit-calculation-for-cable-sizing: 11.9 mm2, k 143
      // (looked up).
      {12000, 0.02, 90, 250, 11.9, 0.05},
      // From memory, an engineering note: 154 mm2, k 143; its own inputs give 153.35.
      {13600, 2.6, 90, 250, 153.35, 0.2}};
  for (const Row& row : rows) {
    // time = (k S / I)^2, so the area for a time is I sqrt(t) / k.
    const Seconds for_one = adiabatic_time(square_millimetres(1), {row.amperes}, {row.start}, {row.end});
    EXPECT_NEAR(std::sqrt(row.seconds / for_one.si), row.mm2, row.tolerance);
  }
  EXPECT_TRUE(std::isinf(adiabatic_time(square_millimetres(1), {0}, {20}, {100}).si));
  EXPECT_EQ(adiabatic_time(square_millimetres(1), {5}, {100}, {100}).si, 0.0);
}

TEST(Onderdonk, MatchesStandardForm) {
  constexpr double mm2_per_circular_mil = 5.067075e-4;
  // Worked out from the standard form, which adds the ambient to 234. The page
  // https://www.physicsforums.com/threads/current-temperature-equation.364495/post-2503480 subtracts it and
  // prints 178 A, 5 % high, for the first.
  const double current = onderdonk_current(square_millimetres(2581 * mm2_per_circular_mil), {5}, {25}).si;
  EXPECT_NEAR(current, 168.86, 0.01);
  EXPECT_NEAR(178.0 / current, 1.05, 0.01);
  // AWG 14, 400 A for 2.26 s.
  const double fuses = onderdonk_current(square_millimetres(4110 * mm2_per_circular_mil), {2.26}, {25}).si;
  EXPECT_NEAR(fuses, 400.0, 0.4);
}

TEST(Onderdonk, AgreesWithIecToMelting) {
  // Two formulae for one thing: K = 226 and Onderdonk's 33 differ by 1 %.
  const SquareMetres area = square_millimetres(1.0);
  const double iec = adiabatic_k({25}, {1083}) / std::sqrt(2.0);
  EXPECT_NEAR(onderdonk_current(area, {2}, {25}).si / iec, 1.0, 0.02);
}

TEST(Preece, MatchesPublishedTable) {
  // Ness Engineering fuse equations page, http://www.nessengr.com/techdata/fuse/fuse.html (looked up):
  // diameters printed to four decimals of an inch, which is up to 4 % of the current for the thinnest.
  struct Row {
    double amperes, inches;
  };
  const Row rows[] = {{1, 0.0021},   {2, 0.0034},   {5, 0.0062},   {10, 0.0098},  {15, 0.0129},
                      {20, 0.0156},  {25, 0.0181},  {30, 0.0205},  {40, 0.0248},  {50, 0.0288},
                      {60, 0.0325},  {80, 0.0394},  {100, 0.0457}, {120, 0.0516}, {160, 0.0625},
                      {200, 0.0725}, {250, 0.0841}, {300, 0.095}};
  for (const Row& row : rows) {
    const double low = preece_current(millimetres((row.inches - 5e-5) * 25.4)).si;
    const double high = preece_current(millimetres((row.inches + 5e-5) * 25.4)).si;
    EXPECT_GE(row.amperes, low * 0.9999) << row.inches;
    EXPECT_LE(row.amperes, high * 1.0001) << row.inches;
  }
  // https://www.physicsforums.com/threads/current-temperature-equation.364495/post-2503480: 123 A (looked
  // up).
  EXPECT_NEAR(preece_current(millimetres(0.0524 * 25.4)).si, 122.88, 0.01);
}

TEST(CopperFactor, MatchesAircraftLengthCorrection) {
  // L2 = 254.5 L1 / (234.5 + T2): FAA AC 43.13-1B CHG 1 p. 11-22, para 11-66 (looked up). Length for a drop
  // goes as one over the resistance. 0.00393 per kelvin means 234.45 in place of 234.5.
  for (const double t2 : {20.0, 85.0, 160.0, 182.0, 200.0}) {
    EXPECT_NEAR(copper_factor({t2}), (234.5 + t2) / 254.5, 2e-4) << t2;
  }
}

TEST(AircraftExamples, ConductorTemperatureAndLength) {
  // Para 11-67 example 2, from memory: T2 = T1 + (TR - T1) sqrt(I2 / Imax) = 182 C and L2 = 9.5 ft; No. 12:
  // 160 C and 15.5 ft. The document calls the formula conservative. The model's own temperatures lie below
  // it.
  const auto length = [](double feet, double t2) { return feet / copper_factor({t2}); };
  EXPECT_NEAR(length(15.5, 181.56), 9.481, 0.005);
  EXPECT_NEAR(length(24.0, 160.28), 15.472, 0.005);
}

TEST(WireResistance, DropsOfAircraftExamples) {
  // FAA AC 43.13-1B CHG 1 p. 11-22, tables 11-7 and 11-8 (looked up), with what the inputs give.
  struct Row {
    double ohm_per_foot, feet, amperes, volts;
  };
  const Row rows[] = {{0.00044, 107, 20, 0.9416}, {0.00028, 90, 20, 0.5040}, {0.00202, 88, 20, 3.5552},
                      {0.00306, 100, 20, 6.1200}, {0.00126, 39, 20, 0.9828}, {0.00126, 19.5, 20, 0.4914},
                      {0.00126, 156, 20, 3.9312}, {0.00126, 273, 20, 6.8796}};
  for (const Row& row : rows) {
    const OhmsPerMetre resistance{row.ohm_per_foot / 0.3048};
    const Volts drop = Amperes{row.amperes} * (resistance * Metres{row.feet * 0.3048});
    EXPECT_NEAR(drop.si, row.volts, 5e-5);
  }
}

}  // namespace
}  // namespace loomgraft::heat_short_circuit_test
