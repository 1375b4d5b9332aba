#include "compare/compare.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "cli/command.h"
#include "cli/input.h"
#include "cli/paper.h"
#include "compare/json.h"
#include "text/csv.h"
#include "units/print.h"

namespace loomgraft::cli {
namespace {

struct CompareCall {
  std::string found;
  std::string donor;
  double supply_v = 0.0;
  bool all = false;
  Output output;
};

std::string pin_text(const std::optional<PinName>& pin) {
  if (!pin) return "-";
  return pin->connector.empty() ? pin->cavity : pin->connector + "-" + pin->cavity;
}

std::string pin_text(const CavityRef& at, const char* nowhere) {
  if (at.connector.empty() && at.cavity.empty()) return nowhere;
  return at.connector.empty() ? at.cavity : at.connector + "-" + at.cavity;
}

Ink ink_of(Verdict verdict) {
  constexpr Ink inks[] = {Ink::plain, Ink::change, Ink::good, Ink::faint, Ink::danger, Ink::warning};
  return inks[static_cast<int>(verdict)];
}

std::string text_of(Grade grade) {
  return grade == Grade::false_signal ? "false signal" : name_of(grade);
}

std::string donor_name(const CircuitReport& circuit) {
  return circuit.donor && circuit.donor->signal != circuit.signal ? circuit.donor->signal : "";
}

std::string hazards(const CompareReport& report, bool colour) {
  Columns columns({"hazard", "cavity", "current", "what would happen if the donor were plugged in now"});
  for (const Grade grade : {Grade::fire, Grade::injury, Grade::damage, Grade::false_signal}) {
    for (const CircuitReport& circuit : report.circuits) {
      if (circuit.hazard.grade != grade) continue;
      columns.row(
          {text_of(grade), pin_text(circuit.found), print(circuit.hazard.current), circuit.hazard.reason},
          grade == Grade::false_signal ? Ink::warning : Ink::danger);
    }
  }
  if (columns.empty()) return {};
  return inked("Move these before you plug the donor in", Ink::strong, colour) + "\n" +
         columns.print(colour) + "\n";
}

// What the vehicle cannot do any more, worst first.
std::string losses(const CompareReport& report, bool colour) {
  Columns columns({"hazard", "cavity", "what stops working once its wire is taken out"});
  for (const Grade grade : {Grade::fire, Grade::injury, Grade::damage, Grade::false_signal}) {
    for (const CircuitReport& circuit : report.circuits) {
      if (!circuit.loss || circuit.loss->grade != grade) continue;
      columns.row({text_of(grade), pin_text(circuit.found), circuit.loss->reason},
                  grade == Grade::false_signal ? Ink::warning : Ink::danger);
    }
  }
  if (columns.empty()) return {};
  return inked("Functions that the vehicle loses", Ink::strong, colour) + "\n" + columns.print(colour) + "\n";
}

std::string circuits(const CompareReport& report, bool all, bool colour) {
  Columns columns({"verdict", "found", "donor", "sure", "signal", "on the donor"});
  int hidden = 0;
  for (const CircuitReport& circuit : report.circuits) {
    if (circuit.verdict == Verdict::keep && !all) {
      ++hidden;
      continue;
    }
    columns.row({name_of(circuit.verdict), pin_text(circuit.found), pin_text(circuit.donor),
                 circuit.decided ? std::string("decided") : fmt::format("{:.0f} %", circuit.confidence * 100),
                 circuit.signal, donor_name(circuit)},
                ink_of(circuit.verdict));
  }
  std::string text = inked("Circuits", Ink::strong, colour) + "\n" + columns.print(colour);
  if (hidden > 0) text += fmt::format("and {} that stay as they are (shown by --all)\n", hidden);
  return text + "\n";
}

std::string moves(const CompareReport& report, bool colour) {
  if (report.moves.steps.empty()) return {};
  Columns columns({"step", "do", "from", "to", "signal", "note"});
  for (const MoveStep& step : report.moves.steps) {
    columns.row({std::to_string(step.step), name_of(step.action), pin_text(step.from, "-"),
                 pin_text(step.to, "-"), step.signal,
                 step.loses.empty() ? step.note : step.loses + " " + step.note});
  }
  const MovePlan& plan = report.moves;
  return inked("Order of moves", Ink::strong, colour) + "\n" + columns.print(colour) +
         fmt::format("{} terminals out, {} in, {} parked on the way.\n", plan.extractions, plan.insertions,
                     plan.parkings) +
         fmt::format("Instead, an adapter lead: {} wires, {} of them crossed, {} more joints{}.\n",
                     report.adapter.wires, report.adapter.crossed, report.adapter.joints,
                     report.adapter.reversible ? "; the vehicle's loom stays as found" : "") +
         "\n";
}

std::string questions(const CompareReport& report, bool colour) {
  if (report.questions.empty()) return {};
  Columns columns({"no.", "at", "question"});
  int number = 0;
  for (const Question& q : report.questions) {
    const std::string at = q.about.cavity.empty() ? q.about.connector : pin_text(PinName{q.about});
    columns.row({std::to_string(++number), at, q.text + " " + q.answer_by},
                q.weight >= 3 ? Ink::danger : Ink::plain);
  }
  return inked("To be answered first", Ink::strong, colour) + "\n" + columns.print(colour) + "\n";
}

std::string tags(const CompareReport& report, bool colour) {
  if (report.tags.empty()) return {};
  Columns columns({"tag", "found", "donor", "why it matters"});
  for (const TagFinding& tag : report.tags) {
    const Ink ink = tag.weight == TagWeight::stop        ? Ink::danger
                    : tag.weight == TagWeight::attention ? Ink::warning
                                                         : Ink::faint;
    columns.row({tag.what, tag.found, tag.donor, tag.reason}, ink);
  }
  return inked("Tags", Ink::strong, colour) + "\n" + columns.print(colour) + "\n";
}

std::string text_of(const CompareReport& report, bool all, bool colour) {
  const Summary& s = report.summary;
  return inked(fmt::format("{} -> {}", harmless(report.found), harmless(report.donor)), Ink::strong, colour) +
         "\n" +
         fmt::format("keep {}, shift {}, add {}, retire {}, clash {}, unsure {}\n\n", s.keep, s.shift, s.add,
                     s.retire, s.clash, s.unsure) +
         hazards(report, colour) + losses(report, colour) + circuits(report, all, colour) +
         moves(report, colour) + questions(report, colour) + tags(report, colour) +
         "Disconnect battery negative before you open a plug. Do not use this tool on airbag, pretensioner "
         "or\n"
         "high-voltage circuits. Local codes and licensed practice come first.\n";
}

std::string csv_of(const CompareReport& report) {
  std::string text =
      csv_line({"verdict", "signal", "found_connector", "found_cavity", "donor_connector", "donor_cavity",
                "donor_signal", "confidence", "hazard", "current_a", "reason", "loss", "loses"});
  for (const CircuitReport& c : report.circuits) {
    const PinName found = c.found.value_or(PinName{});
    const PinName donor = c.donor.value_or(PinName{});
    text += csv_line({name_of(c.verdict), c.signal, found.connector, found.cavity, donor.connector,
                      donor.cavity, donor.signal, fmt::format("{:.2f}", c.confidence),
                      name_of(c.hazard.grade), fmt::format("{:.3f}", c.hazard.current.si), c.hazard.reason,
                      c.loss ? name_of(c.loss->grade) : "", c.loss ? c.loss->reason : ""});
  }
  return text;
}

int run(const CompareCall& call) {
  InputFiles files;
  Graft graft;
  Problems problems;
  const std::string found = add_input(files, graft, call.found, "found", ModuleRole::found, problems);
  const std::string donor = add_input(files, graft, call.donor, "donor", ModuleRole::donor, problems);
  if (call.supply_v > 0) graft.vehicle.supply = Volts{call.supply_v};
  CompareReport report;
  const bool usable = !found.empty() && !donor.empty();
  if (usable) add_circuit_answers(files, graft, call.found, found, call.donor, donor);
  if (usable) report = compare_modules(graft, found, donor);
  report.problems.insert(report.problems.begin(), problems.begin(), problems.end());
  if (call.output.json) {
    print_json(to_json(report));
  } else {
    if (usable) print_text(call.output.csv ? csv_of(report) : text_of(report, call.all, wants_colour()));
    print_problems(report.problems);
  }
  if (!usable || report.circuits.empty()) return unusable;
  return exit_over(report.problems, needs_attention(report) ? attention : done);
}

}  // namespace

void add_compare(CLI::App& app, int& exit) {
  auto call = std::make_shared<CompareCall>();
  auto* command = app.add_subcommand(
      "compare", "what to keep, shift, add and retire, what would be damaged, and the order of moves");
  command->add_option("found", call->found, "the vehicle's module: table files joined by +, or GRAFT#module")
      ->required();
  command->add_option("donor", call->donor, "the donor module, in the same form")->required();
  command->add_option("--supply", call->supply_v, "nominal supply in volts: 12 or 24")
      ->check(CLI::Range(5.0, 60.0));
  command->add_flag("--all", call->all, "also list the circuits that stay");
  add_output_options(*command, call->output, true);
  command->footer(
      "Example: loomgraft compare "
      "examples/power-takeoff/found-manual.csv+examples/power-takeoff/found-forum.md "
      "examples/power-takeoff/donor.txt");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
