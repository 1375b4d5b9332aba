#include "draw/time_current.h"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <limits>
#include <regex>
#include <string>
#include <vector>

namespace loomgraft::draw_time_current_test {
namespace {

TimeCurrentPlot plot_of(double mm2, double rating, double load, double dead_short) {
  TimeCurrentPlot plot;
  plot.title = "Feed of the pump valve";
  plot.family = fuse_family("");
  plot.rating = {rating};
  plot.question.wire = thermal_wire(wire_size_of(square_millimetres(mm2)), *insulation("class B"));
  plot.question.limits = {{100}, {160}};
  plot.question.start = {65};
  plot.question.around = {{60}};
  plot.question.dead_short = {dead_short};
  plot.verdict = protection_of(*plot.family, plot.rating, plot.question);
  plot.load = {load};
  return plot;
}

struct Spot {
  double x, y;
};
// The circles of letters within the frame and in the list.
std::vector<Spot> letters_of(const std::string& svg) {
  std::vector<Spot> spots;
  const std::regex circle("<circle cx=\"([0-9.]+)\" cy=\"([0-9.]+)\" r=\"2.1\"");
  for (auto i = std::sregex_iterator(svg.begin(), svg.end(), circle); i != std::sregex_iterator(); ++i) {
    spots.push_back({std::stod((*i)[1]), std::stod((*i)[2])});
  }
  return spots;
}

std::size_t count_of(const std::string& text, const std::string& part) {
  std::size_t count = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++count;
  return count;
}

TEST(TimeCurrent, ShowsBandWireLoadAndShort) {
  const std::string svg = draw_time_current(plot_of(1.0, 10, 6, 180));
  for (const char* words :
       {"Feed of the pump valve", "10 A fuse (blade): shortest time", "longest time", "wire, from 65 °C",
        "load, 6 A", "dead short, 180 A", "nearest: At", "100 ms", "1 ks", "10 A", "current", "time"}) {
    EXPECT_NE(svg.find(words), std::string::npos) << words;
  }
  // Each of the six letters stands in the frame and in the list.
  EXPECT_EQ(letters_of(svg).size(), 12u);
  EXPECT_EQ(svg.find("nan"), std::string::npos);
  EXPECT_EQ(svg.find("inf"), std::string::npos);
  EXPECT_EQ(svg, draw_time_current(plot_of(1.0, 10, 6, 180)));
}

TEST(TimeCurrent, LettersDoNotOverlap) {
  for (const double mm2 : {0.35, 1.0, 6.0}) {
    for (const double rating : {1.0, 5.0, 30.0}) {
      for (const double load : {0.1, 0.9 * rating, rating}) {
        for (const double dead_short : {1.05 * rating, 40.0, 2000.0}) {
          TimeCurrentPlot plot = plot_of(mm2, rating, load, dead_short);
          for (const double width : {70.0, 160.0}) {
            plot.width_mm = width;
            const std::vector<Spot> spots = letters_of(draw_time_current(plot));
            for (std::size_t i = 0; i < spots.size(); ++i) {
              for (std::size_t j = 0; j < i; ++j) {
                EXPECT_GT(std::hypot(spots[i].x - spots[j].x, spots[i].y - spots[j].y), 4.2 - 1e-3)
                    << mm2 << " " << rating << " " << load << " " << dead_short << " " << width;
              }
            }
          }
        }
      }
    }
  }
}

TEST(TimeCurrent, LinesDifferWithoutColour) {
  const std::string svg = draw_time_current(plot_of(1.0, 10, 6, 180));
  std::vector<std::string> strokes;
  const std::regex stroke("stroke-width=\"([0-9.]+)\" stroke-dasharray=\"([^\"]+)\"");
  for (auto i = std::sregex_iterator(svg.begin(), svg.end(), stroke); i != std::sregex_iterator(); ++i) {
    strokes.push_back((*i)[1].str() + " " + (*i)[2].str());
  }
  std::sort(strokes.begin(), strokes.end());
  strokes.erase(std::unique(strokes.begin(), strokes.end()), strokes.end());
  EXPECT_EQ(strokes.size(), 6u);
  // Greys only: red, green and blue alike but for the paper.
  const std::regex colour("#([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})");
  for (auto i = std::sregex_iterator(svg.begin(), svg.end(), colour); i != std::sregex_iterator(); ++i) {
    if ((*i)[0] == "#fffefb") continue;
    EXPECT_EQ((*i)[1], (*i)[2]);
    EXPECT_EQ((*i)[2], (*i)[3]);
  }
}

TEST(TimeCurrent, StaysWithinItsSheet) {
  const std::string svg = draw_time_current(plot_of(0.5, 7.5, 2, 900));
  const std::regex number("[ML]([0-9.-]+) ([0-9.-]+)");
  for (auto i = std::sregex_iterator(svg.begin(), svg.end(), number); i != std::sregex_iterator(); ++i) {
    EXPECT_GE(std::stod((*i)[1]), 5.0 - 1e-3);
    EXPECT_LE(std::stod((*i)[1]), 155.0 + 1e-3);
    EXPECT_GE(std::stod((*i)[2]), 5.0 - 1e-3);
  }
}

TEST(TimeCurrent, ToleratesMissingValues) {
  TimeCurrentPlot plot = plot_of(1.0, 10, 6, 180);
  plot.family = nullptr;
  EXPECT_NE(draw_time_current(plot).find("The times of this fuse are not known."), std::string::npos);
  plot.load = {};
  EXPECT_EQ(draw_time_current(plot).find("load,"), std::string::npos);
  plot.question.dead_short = {std::numeric_limits<double>::infinity()};
  plot.rating = {std::nan("")};
  plot.width_mm = std::nan("");
  plot.title = "<script>";
  const std::string svg = draw_time_current(plot);
  EXPECT_EQ(count_of(svg, "<svg"), 1u);
  EXPECT_EQ(svg.find("<script"), std::string::npos);
}

}  // namespace
}  // namespace loomgraft::draw_time_current_test
