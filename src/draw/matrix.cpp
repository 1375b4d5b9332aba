#include "draw/matrix.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "draw/palette.h"
#include "draw/svg.h"
#include "draw/text_extent.h"
#include "prove/matrix_rows.h"

namespace loomgraft {
namespace {

constexpr std::string_view matrix_ink = "#000000";
constexpr std::string_view ink_line = "#c4c4c4";
constexpr double sheet_margin = 6.0;
constexpr double row_height = 3.4;
constexpr double step_width = 3.4;
constexpr double text_size = 2.4;
constexpr double head_height = 28.0;
constexpr double mark_size = 2.4;
constexpr double harm_width = 18.0;
constexpr double no_test_width = 36.0;  // "no test: false signal"
constexpr int guide = 5;                // a stronger line every so many
constexpr int head_again = 40;          // rows after which the steps are numbered again

const char* harm_text(Harm harm) {
  constexpr const char* texts[] = {"", "false signal", "damage", "fire"};
  return texts[static_cast<int>(harm)];
}

// The sheet while it is drawn.
struct MatrixSheet {
  const ProveReport& report;
  double names;  // width of their column
  std::vector<StepResult> results;
  Svg svg;

  double left() const { return sheet_margin + names; }
  double column(std::size_t step) const { return left() + step_width * static_cast<double>(step); }
  double right() const { return column(report.plan.size()); }
};

// One shape for each result, distinguishable without colour.
void draw_mark(Svg& svg, StepResult result, double x, double y) {
  const double half = 0.5 * mark_size;
  const auto point = [&](char command, double right, double down) {
    return command + print_number(x + right * half) + " " + print_number(y + down * half);
  };
  if (result == StepResult::in_band) {
    svg.empty("path", {{"class", "in-band"},
                       {"d", point('M', -0.9, 0.1) + point('L', -0.2, 0.8) + point('L', 0.9, -0.8)},
                       {"fill", "none"},
                       {"stroke", matrix_ink},
                       {"stroke-width", 0.5}});
  } else if (result == StepResult::out_of_band) {
    svg.empty("path", {{"class", "out-of-band"},
                       {"d", point('M', 0.0, -1.0) + point('L', 1.0, 0.9) + point('L', -1.0, 0.9) + "Z"},
                       {"fill", matrix_ink}});
  } else {
    const bool filled = result == StepResult::to_do;
    const double side = filled ? mark_size : mark_size - 0.5;
    svg.empty("rect", {{"class", filled ? "to-do" : "unreached"},
                       {"x", x - 0.5 * side},
                       {"y", y - 0.5 * side},
                       {"width", side},
                       {"height", side},
                       {"fill", filled ? matrix_ink : palette::white},
                       {"stroke", filled ? "none" : matrix_ink},
                       {"stroke-width", 0.4}});
  }
}

const char* result_text(StepResult result) {
  constexpr const char* texts[] = {"this step exposes the fault; not measured yet",
                                   "measured, in band: the fault is not there",
                                   "measured, out of band: it may be there", "could not be reached"};
  return texts[static_cast<int>(result)];
}

// The marks in use with their meanings.
void draw_legend(MatrixSheet& sheet, double top) {
  const std::set<StepResult> used(sheet.results.begin(), sheet.results.end());
  double y = top;
  for (const StepResult result : used) {
    draw_mark(sheet.svg, result, sheet_margin + 0.5 * mark_size, y - 0.35 * text_size);
    sheet.svg.text(sheet_margin + 1.6 * mark_size, y, result_text(result),
                   {text_size, false, Anchor::start, matrix_ink});
    y += row_height;
  }
}

void draw_head(MatrixSheet& sheet, double top) {
  for (std::size_t step = 0; step < sheet.report.plan.size(); ++step) {
    const double x = sheet.column(step) + step_width * 0.5;
    const std::string number = std::to_string(step + 1);
    const double wide = text_width(number, 1.0);
    const double size = std::min(0.8 * text_size, (step_width - 0.3) / wide);  // three digits fit as well
    sheet.svg.text(x, top - 1.0, number, {size, false, Anchor::middle, matrix_ink});
  }
}

// Over its steps, one line for each state, with its id where there is room, else below in the list.
void draw_conditions(MatrixSheet& sheet, double top) {
  std::size_t first = 0;
  for (std::size_t step = 1; step <= sheet.report.plan.size(); ++step) {
    const auto condition_of = [&](std::size_t k) {
      return sheet.report.tests[sheet.report.plan[k]].condition;
    };
    if (step < sheet.report.plan.size() && condition_of(step) == condition_of(first)) continue;
    const ProveCondition& condition = sheet.report.conditions[condition_of(first)];
    const double from = sheet.column(first) + 0.4;
    const double to = sheet.column(step) - 0.4;
    sheet.svg.line(from, top, to, top, matrix_ink, condition.live ? 0.9 : 0.3);
    const double room = to - from;
    const std::string text = elide(condition.id, room, text_size * 0.8);
    if (room > 3 * step_width)
      sheet.svg.text((from + to) / 2, top - 1.0, text, {text_size * 0.8, false, Anchor::middle, matrix_ink});
    first = step;
  }
}

void draw_row(MatrixSheet& sheet, const MatrixRow& row, double top, std::size_t number) {
  const Fault& fault = sheet.report.faults[row.faults.front()];
  std::string text = fault.text;
  if (row.faults.size() > 1) text += fmt::format(" (and {} more)", row.faults.size() - 1);
  const double base = top + row_height * 0.72;
  Svg& svg = sheet.svg;
  svg.open("g");
  std::string all;
  for (const std::size_t one : row.faults) all += (all.empty() ? "" : "; ") + sheet.report.faults[one].text;
  svg.title(all);
  svg.line(sheet_margin, top, sheet.right() + harm_width, top, ink_line, number % guide == 0 ? 0.3 : 0.1);
  svg.text(sheet_margin, base, elide(text, sheet.names - 2.0, text_size),
           {text_size, false, Anchor::start, matrix_ink});
  for (const std::size_t step : row.steps)
    draw_mark(svg, sheet.results[step], sheet.column(step) + 0.5 * step_width, top + 0.5 * row_height);
  const std::string harm = harm_text(worst_harm(sheet.report, row));
  if (row.steps.empty())
    svg.text(sheet.left() + 1.0, base, harm.empty() ? "no test" : "no test: " + harm,
             {text_size, true, Anchor::start, matrix_ink});
  else
    svg.text(sheet.right() + 1.5, base, harm, {text_size * 0.9, false, Anchor::start, matrix_ink});
  svg.close("g");
}

void draw_columns(MatrixSheet& sheet, double top, double bottom) {
  for (std::size_t step = 0; step <= sheet.report.plan.size(); ++step)
    sheet.svg.line(sheet.column(step), top, sheet.column(step), bottom, ink_line,
                   step % guide == 0 ? 0.3 : 0.1);
}

// A list of the steps.
double draw_list(MatrixSheet& sheet, double top, double width) {
  double y = top;
  for (std::size_t step = 0; step < sheet.report.plan.size(); ++step) {
    const ProveTest& test = sheet.report.tests[sheet.report.plan[step]];
    const std::string text =
        fmt::format("{}  {}: {}", step + 1, sheet.report.conditions[test.condition].id, test.text);
    y += row_height;
    sheet.svg.text(sheet_margin, y, elide(text, width - 2 * sheet_margin, text_size),
                   {text_size, false, Anchor::start, matrix_ink});
  }
  return y;
}

}  // namespace

std::string draw_matrix(const ProveReport& report, const MatrixOptions& options) {
  const std::vector<MatrixRow> rows = matrix_rows(report);
  const double names = std::isfinite(options.names_mm) ? std::clamp(options.names_mm, 40.0, 200.0) : 90.0;
  MatrixSheet sheet{report, names, step_results(report, options.readings), {}};
  const double width = std::max(
      {sheet.right() + harm_width + sheet_margin, sheet.left() + no_test_width + sheet_margin, 150.0});
  const std::size_t heads = rows.empty() ? 0 : (rows.size() - 1) / head_again;
  const double body = row_height * static_cast<double>(rows.size() + heads);
  const double height = sheet_margin + head_height + body +
                        row_height * (static_cast<double>(report.plan.size()) + 2) + sheet_margin;
  Svg& svg = sheet.svg;
  svg.open("svg", {{"xmlns", "http://www.w3.org/2000/svg"},
                   {"width", print_number(width) + "mm"},
                   {"height", print_number(height) + "mm"},
                   {"viewBox", "0 0 " + print_number(width) + " " + print_number(height)},
                   {"font-family", "DejaVu Sans, Verdana, sans-serif"},
                   {"role", "img"}});
  svg.title("Which step of the test plan exposes which fault");
  svg.empty("rect", {{"width", width}, {"height", height}, {"fill", palette::white}});
  svg.text(sheet_margin, sheet_margin + 4.0,
           "Steps of the plan (thick line: battery on) against single faults",
           {text_size * 1.3, true, Anchor::start, matrix_ink});
  draw_legend(sheet, sheet_margin + 9.0);
  double y = sheet_margin + head_height;
  draw_conditions(sheet, y - 4.5);
  draw_columns(sheet, y, y + body);
  draw_head(sheet, y);
  for (std::size_t k = 0; k < rows.size(); ++k) {
    if (k > 0 && k % head_again == 0) {
      y += row_height;
      draw_head(sheet, y);
    }
    draw_row(sheet, rows[k], y, k);
    y += row_height;
  }
  draw_list(sheet, y + row_height, width);
  svg.close("svg");
  return svg.written();
}

}  // namespace loomgraft
