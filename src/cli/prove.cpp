#include "prove/prove.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <set>

#include "cli/command.h"
#include "cli/graft_file.h"
#include "cli/paper.h"
#include "hazards/open_hazards.h"
#include "prove/curve.h"
#include "prove/json.h"
#include "prove/meter.h"
#include "prove/reading_text.h"
#include "text/csv.h"
#include "units/print.h"

namespace loomgraft::cli {
namespace {

struct ProveCall {
  std::string graft;
  bool whole = false;
  std::string meter;
  std::optional<double> minutes;
  Output output;
};

// The test's text names the device already.
const std::string& table_text(const ProbePoint& point) {
  return point.short_text.empty() ? point.text : point.short_text;
}

const char* table_setting(const ProveTest& test) {
  if (test.kind == TestKind::current) return "direct current clamp";
  if (test.kind == TestKind::fuse_drop) return "millivolts";
  if (test.kind == TestKind::wiggle) return "ohms, while moved";
  return test.unit == "ohm" ? "ohms" : "volts";
}

std::string condition_text(const ProveCondition& condition, bool colour) {
  std::string text = inked(fmt::format("\n{} ({:.0f} min)\n", harmless(condition.text), condition.minutes),
                           condition.live ? Ink::warning : Ink::strong, colour);
  for (const std::string& caution : condition.cautions)
    text += inked("  ! " + harmless(caution) + "\n", Ink::danger, colour);
  return text;
}

Columns step_table() {
  // Wide, so that the text of most tests fits on one line.
  return Columns({"step", "red", "black", "setting", "must show", "faults", "what it shows"}, 170);
}

// What must be opened for this step and was not opened for an earlier one.
std::string access_text(const ProveReport& report, const ProveTest& test, std::set<std::size_t>& opened) {
  std::string text;
  for (const std::size_t access : test.accesses) {
    const PlaceAccess& place = report.accesses[access];
    if (opened.insert(access).second)
      text += fmt::format("  open up: {} ({:.0f} min)\n", harmless(place.text), place.minutes);
  }
  return text;
}

std::string confirm_text(const ProveReport& report, bool colour) {
  if (report.to_confirm.empty()) return {};
  std::string text = inked("\nLook and confirm before the battery is joined:\n", Ink::danger, colour);
  for (const OpenHazard& hazard : report.to_confirm)
    text += fmt::format("  [ ] {}\n      {}\n", harmless(hazard.text), harmless(hazard.look));
  return text;
}

std::string plan_text(const ProveReport& report, bool colour) {
  std::string text;
  std::set<std::size_t> opened;
  Columns table = step_table();
  std::size_t condition = report.conditions.size();
  bool joined = false;
  for (std::size_t k = 0; k < report.plan.size(); ++k) {
    const ProveTest& test = report.tests[report.plan[k]];
    const std::string to_open = access_text(report, test, opened);
    if (test.condition != condition || !to_open.empty()) {
      if (!table.empty()) text += table.print(colour);
      table = step_table();
      if (report.conditions[test.condition].live && !joined) text += confirm_text(report, colour);
      joined = joined || report.conditions[test.condition].live;
      if (test.condition != condition) text += condition_text(report.conditions[test.condition], colour);
      condition = test.condition;
      text += to_open;
    }
    table.row({std::to_string(k + 1), table_text(test.red), table_text(test.black), table_setting(test),
               band_text(test.band, test.unit, report.over_range), fmt::format("{:>3}", test.exposes.size()),
               test.text});
  }
  if (!table.empty()) text += table.print(colour);
  return joined ? text : text + confirm_text(report, colour);
}

std::string bound_text(const ProveReport& report) {
  if (report.budget)
    return fmt::format("{:.0f} % of the odds of a mistake; no plan of {:g} minutes shows more than {:.0f} %",
                       100.0 * report.budget->shown, report.budget->minutes, 100.0 * report.budget->bound);
  if (report.optimal) return "no plan takes less";
  return fmt::format("no plan takes less than {:.1f}", report.bound_minutes);
}

std::size_t faults_exposed(const ProveReport& report) {
  std::set<std::size_t> exposed;
  for (const std::size_t test : report.plan)
    exposed.insert(report.tests[test].exposes.begin(), report.tests[test].exposes.end());
  return exposed.size();
}

// What the plan buys: at some moments of it, what no reading has shown yet.
std::string curve_text(const ProveReport& report) {
  const std::vector<PlanMoment> curve = curve_of(report);
  Columns table({"after", "steps", "unproved", "of what could burn or break", "at worst"}, 170);
  constexpr double every = 30.0;
  double next = every;
  for (std::size_t k = 0; k < curve.size(); ++k) {
    const bool last = k + 1 == curve.size();
    if (!last && curve[k + 1].minutes <= next) continue;
    next = every * (std::floor((last ? curve[k] : curve[k + 1]).minutes / every) + 1.0);
    table.row({fmt::format("{:.0f} min", curve[k].minutes), std::to_string(k),
               fmt::format("{:.1f} %", 100.0 * curve[k].unproved),
               fmt::format("{:.1f} %", 100.0 * curve[k].harmful), harmless(worst_text(report, curve[k]))});
  }
  return table.empty() ? "" : "\n" + table.print(wants_colour());
}

std::string head_text(const ProveReport& report) {
  return fmt::format("{} tests in {:.1f} minutes expose {} of {} single faults; {}.\n", report.plan.size(),
                     report.plan_minutes, faults_exposed(report), faults_that_matter(report),
                     bound_text(report));
}

// "false_signal" of the reports in words.
std::string harm_text(Harm harm) {
  std::string text = name_of(harm);
  std::ranges::replace(text, '_', ' ');
  return text;
}

std::string unexposed_text(const ProveReport& report, bool colour) {
  if (report.unexposed.empty()) return {};
  std::string text = inked("\nNo test exposes:\n", Ink::strong, colour);
  for (const Unexposed& one : report.unexposed) {
    const Fault& fault = report.faults[one.fault];
    const bool harmful = fault.harm >= Harm::damage;
    text += inked(fmt::format("  {}{}\n", harmless(fault.text),
                              fault.harm == Harm::none ? "" : " (" + harm_text(fault.harm) + ")"),
                  harmful ? Ink::danger : Ink::plain, colour);
    text += fmt::format("    {} {}\n", harmless(one.why), one.remedy);
  }
  return text;
}

std::string joints_text(const ProveReport& report, bool colour) {
  Columns table({"detected from", "joint", "by"});
  for (const JointThreshold& joint : report.joints)
    table.row({joint.ohms ? print(*joint.ohms) : "never", joint.text, joint.test});
  return table.empty()
             ? ""
             : inked("\nSmallest added joint resistance that the plan detects:\n", Ink::strong, colour) +
                   table.print(colour);
}

// Whether a test plug pays, and of what it is made.
std::string test_plugs_text(const ProveReport& report) {
  std::string text;
  for (const TestPlug& plug : report.test_plugs) {
    text +=
        fmt::format("\nTest plug for {}, {:.0f} min to make: {}\n", harmless(plug.text), plug.minutes,
                    plug.used ? "it pays, the plan has steps with it" : "it does not pay for this job alone");
    for (const TestPlugResistor& one : plug.resistors)
      text += fmt::format("  {} - {} - body\n", harmless(one.cavity), print(one.ohms));
    for (const std::string& part : plug.parts) text += "  part: " + harmless(part) + "\n";
  }
  if (report.test_plugs_save > 0.0)
    text += fmt::format("  Steps with test plugs save {:.0f} min of measuring.\n", report.test_plugs_save);
  return text;
}

std::string report_text(const ProveReport& report) {
  const bool colour = wants_colour();
  std::string text = head_text(report) + curve_text(report) + plan_text(report, colour) +
                     unexposed_text(report, colour) + joints_text(report, colour) + test_plugs_text(report);
  for (const std::string& refused : report.refused)
    text += inked("refused: " + harmless(refused) + "\n", Ink::danger, colour);
  return text +
         "\nStop at a step that is out of band and find the fault before going on. Never probe airbag, "
         "pretensioner or high-voltage circuits.\n";
}

std::string csv_text(const ProveReport& report) {
  const auto end = [](double value) { return std::isfinite(value) ? fmt::format("{:.9g}", value) : ""; };
  std::string text = csv_line({"step", "test", "condition", "kind", "red", "black", "clamp", "setting",
                               "nominal", "low", "high", "unit", "minutes", "faults", "reading"});
  for (std::size_t k = 0; k < report.plan.size(); ++k) {
    const ProveTest& test = report.tests[report.plan[k]];
    text += csv_line({std::to_string(k + 1), test.id, report.conditions[test.condition].text,
                      name_of(test.kind), test.red.text, test.black.text, test.clamp, test.setting,
                      fmt::format("{:.9g}", test.nominal), end(test.band.low), end(test.band.high), test.unit,
                      fmt::format("{:g}", report.steps[k].sum()), std::to_string(test.exposes.size()), ""});
  }
  return text;
}

int run(const ProveCall& call) {
  Problems problems;
  const auto graft = read_graft_file(call.graft, problems);
  if (!graft) {
    print_problems(problems);
    return unusable;
  }
  if (!meter_sheet(call.meter)) {
    print_problems({{Severity::error,
                     "no-such-meter",
                     {},
                     "There is no meter \"" + call.meter + "\".",
                     "Name one of " + fmt::format("{}", fmt::join(meter_names(), ", ")) + "."}});
    return unusable;
  }
  ProveOptions options;
  options.faults.whole_loom = call.whole;
  options.meter = call.meter;
  options.minutes = call.minutes;
  options.hazards = open_hazards(*graft);
  ProveReport report = prove_loom(*graft, options).report;
  report.problems.insert(report.problems.begin(), problems.begin(), problems.end());
  if (call.output.json) {
    print_json(to_json(report));
  } else {
    print_text(call.output.csv ? csv_text(report) : report_text(report));
    print_problems(report.problems);
  }
  return exit_over(report.problems, report.to_confirm.empty() ? done : attention);
}

}  // namespace

void add_prove(CLI::App& app, int& exit) {
  auto call = std::make_shared<ProveCall>();
  auto* command =
      app.add_subcommand("prove", "the quickest set of measurements that exposes every single fault");
  command->add_option("graft", call->graft, "graft document")->required();
  command->add_flag("--whole", call->whole, "the whole loom, not only what the plan adds, moves or touches");
  command->add_option("--meter", call->meter, "the meter at hand: handheld, simple or fine");
  command
      ->add_option("--minutes", call->minutes,
                   "the time at hand: the plan that shows most in it, without power first")
      ->check(CLI::PositiveNumber);
  add_output_options(*command, call->output, true);
  command->footer(
      "Example: loomgraft prove examples/power-takeoff/graft.json --meter simple\n"
      "Tests without power come before those with power. Exit status 1: something that could "
      "hurt, burn or break is open, and is to be looked at before the battery is joined.");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
