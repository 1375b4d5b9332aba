// The table of steps against faults on paper: what stands where, and that it can be read.
#include "draw/matrix.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <regex>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "prove/matrix_rows.h"
#include "tests/draw/svg_reading.h"
#include "tests/prove/made_up_proof.h"

namespace loomgraft::draw_matrix_test {
namespace {

using samples::faulty;
using samples::MadeUpProof;
using samples::sound;
using testing::HasSubstr;
using testing::Not;

// Deterministic and without a pattern that a mistake in rows or columns would leave as it is.
bool exposed_by(std::size_t step, std::size_t fault) {
  return fault % 9 != 7 && (fault * 7 + step * 5 + (fault * step) % 11) % 13 < 3;
}

ProveReport report_of(std::size_t steps, std::size_t faults, const std::string& name = "fault ") {
  MadeUpProof made;
  made.add_condition("live", 1.0, true);
  for (std::size_t fault = 0; fault < faults; ++fault) {
    made.add_fault(name + std::to_string(fault), 0.1);
    made.proof.report.faults.back().harm = static_cast<Harm>(fault % 4);
  }
  for (std::size_t step = 0; step < steps; ++step) {
    std::vector<Band> under(faults, sound);
    for (std::size_t fault = 0; fault < faults; ++fault) {
      if (exposed_by(step, fault)) under[fault] = faulty;
    }
    made.add_test(name + "step " + std::to_string(step), sound, under, 1.0, step < steps / 2 ? 0 : 1);
  }
  return made.proof.report;
}

Reading reading_of(const ProveReport& report, std::size_t step, double value, const std::string& unit = "V") {
  Reading reading;
  reading.id = "r" + std::to_string(step);
  reading.test = report.tests[report.plan[step]].id;
  reading.value = value;
  reading.unit = unit;
  return reading;
}

// One of each: in band, out of band, not reached; the others are to do.
std::vector<Reading> some_readings(const ProveReport& report) {
  return {reading_of(report, 0, 0.0), reading_of(report, 1, 3.0), reading_of(report, 2, 0.0, unreached_unit)};
}

struct DrawnMark {
  std::string result;
  std::size_t step;
};

// The marks of each row, by the text of its faults: a group has it as its title.
std::map<std::string, std::vector<DrawnMark>> drawn_rows(const std::string& svg) {
  constexpr double left = 96.0;  // margin and names
  constexpr double column = 3.4;
  const std::regex group("<g>\\s*<title>([^<]*)</title>([\\s\\S]*?)</g>");
  const std::regex mark("class=\"([a-z-]+)\" (?:x=\"([0-9.]+)\"|d=\"M([0-9.]+))");
  std::map<std::string, std::vector<DrawnMark>> rows;
  for (auto at = std::sregex_iterator(svg.begin(), svg.end(), group); at != std::sregex_iterator(); ++at) {
    std::vector<DrawnMark>& row = rows[(*at)[1]];
    const std::string body = (*at)[2];
    for (auto one = std::sregex_iterator(body.begin(), body.end(), mark); one != std::sregex_iterator();
         ++one) {
      const double x = std::stod((*one)[2].matched ? (*one)[2] : (*one)[3]);
      row.push_back({(*one)[1], static_cast<std::size_t>(std::floor((x - left) / column))});
    }
  }
  return rows;
}

TEST(Matrix, MarksAreExactlyWhereAStepExposesAFault) {
  const ProveReport report = report_of(14, 95);
  const auto rows = drawn_rows(draw_matrix(report));
  std::set<std::string> seen;
  std::size_t marks = 0;
  for (const auto& [words, row] : rows) {
    std::set<std::size_t> steps;
    for (const DrawnMark& mark : row) steps.insert(mark.step);
    marks += row.size();
    EXPECT_EQ(steps.size(), row.size()) << words;
    const std::regex name("fault ([0-9]+)");
    for (auto at = std::sregex_iterator(words.begin(), words.end(), name); at != std::sregex_iterator();
         ++at) {
      EXPECT_TRUE(seen.insert((*at)[0]).second) << words;
      const std::size_t fault = std::stoul((*at)[1]);
      for (std::size_t step = 0; step < report.plan.size(); ++step)
        EXPECT_EQ(steps.contains(step), exposed_by(step, fault)) << "fault " << fault << ", step " << step;
    }
  }
  EXPECT_EQ(seen.size(), report.faults.size());
  EXPECT_GT(marks, 95U);
}

TEST(Matrix, EachStepResultHasItsOwnShapeAndLegend) {
  const ProveReport report = report_of(6, 40);
  MatrixOptions options;
  options.readings = some_readings(report);
  const std::string svg = draw_matrix(report, options);
  const char* results[] = {"in-band", "out-of-band", "unreached", "to-do"};
  for (const auto& [words, row] : drawn_rows(svg)) {
    for (const DrawnMark& mark : row)
      EXPECT_EQ(mark.result, results[std::min<std::size_t>(mark.step, 3)]) << words;
  }
  for (const char* words : {"in band: the fault is not there", "out of band: it may be there",
                            "could not be reached", "not measured yet"})
    EXPECT_THAT(svg, HasSubstr(words));
  EXPECT_THAT(draw_matrix(report), Not(HasSubstr("out of band")));  // only marks in use are explained
}

TEST(Matrix, IsBlackAndWhiteOnly) {
  const ProveReport report = report_of(6, 40);
  MatrixOptions options;
  options.readings = some_readings(report);
  const std::string svg = draw_matrix(report, options);
  const std::regex colour("(?:fill|stroke)=\"([^\"]+)\"");
  const std::set<std::string> allowed{"#000000", "#ffffff", "#c4c4c4", "none"};
  for (auto at = std::sregex_iterator(svg.begin(), svg.end(), colour); at != std::sregex_iterator(); ++at)
    EXPECT_TRUE(allowed.contains((*at)[1])) << (*at)[0];
}

TEST(Matrix, NamesAreEscaped) {
  const ProveReport report = report_of(5, 20, "<img src=x onerror=\"alert(1)\"> & ");
  const std::string svg = draw_matrix(report);
  EXPECT_THAT(svg, HasSubstr("&lt;img src=x onerror="));
  EXPECT_THAT(svg, Not(HasSubstr("<img")));
  EXPECT_THAT(svg, Not(HasSubstr("onerror=\"")));
}

TEST(Matrix, OutputIsReproducible) {
  const ProveReport report = report_of(30, 120);
  EXPECT_EQ(draw_matrix(report), draw_matrix(report));
}

// Values of an attribute that is a number, wherever it stands.
std::vector<double> numbers_of(const std::string& svg, const std::string& name) {
  std::vector<double> values;
  const std::regex one(" " + name + "=\"(-?[0-9.]+)\"");
  for (auto at = std::sregex_iterator(svg.begin(), svg.end(), one); at != std::sregex_iterator(); ++at)
    values.push_back(std::stod((*at)[1]));
  return values;
}

TEST(Matrix, NothingIsOffTheSheetAndNoTextsOverlap) {
  const std::string longest =
      "wires w_long and w_longer are in each other's place (PTO hand throttle earth) ";
  for (const auto& [steps, faults] : std::vector<std::pair<std::size_t, std::size_t>>{
           {130, 90}, {14, 40}, {14, 41}, {3, 7}, {0, 5}, {0, 0}}) {
    for (const double names : {1.0, 90.0, 900.0}) {
      const ProveReport report = report_of(steps, faults, longest);
      MatrixOptions options;
      options.names_mm = names;
      if (steps > 2) options.readings = some_readings(report);
      const std::string svg = draw_matrix(report, options);
      const std::string where = std::to_string(steps) + " x " + std::to_string(faults);
      const double wide = number(svg, 0, "width");
      const double high = number(svg, 0, "height");
      for (const char* name : {"x", "x1", "x2"}) {
        for (const double x : numbers_of(svg, name)) EXPECT_TRUE(x >= 0.0 && x <= wide) << where << ": " << x;
      }
      for (const char* name : {"y", "y1", "y2"}) {
        for (const double y : numbers_of(svg, name)) EXPECT_TRUE(y >= 0.0 && y <= high) << where << ": " << y;
      }
      const std::vector<TextBox> boxes = text_boxes(svg);
      for (std::size_t i = 0; i < boxes.size(); ++i) {
        const TextBox& a = boxes[i];
        EXPECT_TRUE(a.left >= 0 && a.top >= 0 && a.right <= wide && a.bottom <= high)
            << where << ": " << a.text;
        for (std::size_t j = 0; j < i; ++j) {
          const TextBox& b = boxes[j];
          const bool over = a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
          EXPECT_FALSE(over) << where << ": '" << a.text << "' over '" << b.text << "'";
        }
      }
    }
  }
}

}  // namespace
}  // namespace loomgraft::draw_matrix_test
