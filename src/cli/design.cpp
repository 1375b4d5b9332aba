#include "design/design.h"

#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <nlohmann/json.hpp>

#include "cli/command.h"
#include "cli/graft_file.h"
#include "cli/paper.h"
#include "design/json.h"
#include "design/what_if.h"
#include "text/csv.h"
#include "units/print.h"

namespace loomgraft::cli {
namespace {

struct DesignCall {
  std::string graft;
  std::string circuit;
  std::string what;
  bool why = false;
  bool all = false;
  Output output;
};

std::string number(double value) {
  return fmt::format("{:.3g}", value);
}

std::string limit_text(const Check& check) {
  return fmt::format("{} {} {}", check.at_most ? "at most" : "at least", number(check.limit),
                     unit_sign(check.unit));
}

std::string verdict(const Check& check) {
  std::string text = !check.judged ? "not judged" : check.passes ? "passes" : "FAILS";
  if (check.deciding && check.passes) text += ", deciding";
  if (check.assumed) text += ", assumed facts";
  return text;
}

Ink ink_of(const Check& check) {
  return !check.passes && check.judged ? Ink::danger : check.deciding ? Ink::strong : Ink::plain;
}

Columns check_table() {
  return Columns({"of", "value", "limit", "margin", "outcome", "what"});
}

void add_check_row(Columns& table, const Check& check) {
  table.row({id_of(check.subject), fmt::format("{} {}", number(check.value), unit_sign(check.unit)),
             limit_text(check), fmt::format("{:+.0f} %", std::clamp(check.margin, -9.99, 9.99) * 100),
             verdict(check), check.text},
            ink_of(check));
}

// What fails or decides; the rest is counted, or shown too where `all` is asked.
std::string checks_text(const std::vector<Check>& checks, bool all, bool colour) {
  Columns table = check_table();
  std::size_t hidden = 0;
  for (const Check& check : checks) {
    if (all || !check.passes || check.deciding) {
      add_check_row(table, check);
    } else {
      ++hidden;
    }
  }
  std::string text = table.empty() ? "" : table.print(colour);
  if (hidden > 0)
    text += inked(fmt::format("{} more checks pass (--all shows them)\n", hidden), Ink::faint, colour);
  return text;
}

std::string why_text(const Check& check, bool colour) {
  std::string text =
      inked(fmt::format("  {} of {}\n", name_of(check.kind), id_of(check.subject)), Ink::strong, colour);
  text += fmt::format("    {}\n    worst condition: {}\n    source: {}\n", check.why.formula, check.condition,
                      check.why.source);
  for (const WhyInput& input : check.why.inputs)
    text += fmt::format("    {} = {} ({})\n", input.name, input.value, input.from);
  return harmless(text);
}

std::string wire_text(const CircuitDesign& circuit, bool colour) {
  Columns table({"wire", "size", "AWG", "length", "current", "conductor", "bend", "pull", "limited by"});
  for (const WireDesign& wire : circuit.wires) {
    const bool ours = wire.smallest.si > 0;
    const bool too_small = wire.stated && ours && *wire.stated < wire.smallest;
    std::string size = wire.stated ? print(*wire.stated) : ours ? print(wire.smallest) : "as it is";
    if (too_small) size += " -> " + print(wire.smallest);
    table.row({wire.wire, size, wire.stated ? wire.stated_awg : wire.smallest_awg,
               wire.length_assumed ? "assumed" : print(wire.length), print(wire.current),
               print(wire.conductor), ours ? print(wire.bend_radius) : "",
               wire.pull_force ? fmt::format("{:.0f} N", wire.pull_force->si) : "", wire.limited_by},
              too_small ? Ink::danger : Ink::plain);
  }
  std::string text = table.empty() ? "" : table.print(colour);
  for (const WireDesign& wire : circuit.wires) {
    if (wire.insulation_needed.empty()) continue;
    text += wire.insulation_needed == "none"
                ? fmt::format("wire {}: no insulation withstands this\n", harmless(wire.wire))
                : fmt::format("wire {}: {} is not enough here, {} would be\n", harmless(wire.wire),
                              wire.insulation, wire.insulation_needed);
  }
  return text;
}

std::string remedy_text(const Remedy& remedy, bool colour) {
  std::string text = inked(fmt::format("  remedy ({}): ", name_of(remedy.kind)), Ink::change, colour);
  text += harmless(remedy.text) + " " + harmless(remedy.trade_off) + "\n";
  if (remedy.after.empty()) return text;
  return text + (remedy.passes ? "  then all checks pass:\n" : "  then some checks still fail:\n") +
         checks_text(remedy.after, remedy.passes, colour);
}

std::string fuse_text(const FuseDesign& fuse) {
  const std::string smallest =
      fuse.smallest ? print(*fuse.smallest) : "no fuse on sale carries " + print(fuse.needed);
  const std::string family = fuse.family ? " (" + fuse.family->name + ")" : "";
  return fmt::format("fuse {}: load {}, {}\n", harmless(fuse.device), print(fuse.load),
                     fuse.stated     ? print(*fuse.stated) + family + " stated, smallest " + smallest
                     : fuse.smallest ? smallest + family + " is the smallest that carries it"
                                     : smallest);
}

std::string circuit_text(const CircuitDesign& circuit, const DesignCall& call, bool colour) {
  std::string text = inked(fmt::format("{}  {}\n", harmless(circuit.name),
                                       !circuit.missing.empty() ? "not judged"
                                       : !circuit.passes        ? "FAILS"
                                       : circuit.judged         ? "passes"
                                                                : "not judged in full"),
                           circuit.passes ? Ink::strong : Ink::danger, colour);
  for (const Missing& item : circuit.missing) text += harmless(item.text) + "\n";
  text += wire_text(circuit, colour);
  for (const FuseDesign& fuse : circuit.fuses) {
    text += fuse_text(fuse);
  }
  text += checks_text(circuit.checks, call.all, colour);
  if (call.why) {
    for (const Check& check : circuit.checks) text += why_text(check, colour);
  }
  for (const Remedy& remedy : circuit.remedies) text += remedy_text(remedy, colour);
  return text + "\n";
}

bool turns_to_failure(const DesignAssumption& item) {
  return item.outcome && item.outcome->passes_now && !item.outcome->passes;
}

// "class A: heat n_y20_1 -12 %, now +20 %"
std::string outcome_text(const DesignAssumption& item) {
  if (!item.outcome) return "";
  const AssumedOtherwise& then = *item.outcome;
  const auto percent = [](double margin) { return std::clamp(margin, -9.99, 9.99) * 100; };
  return fmt::format("{}: {} {} {:+.0f} %, now {:+.0f} %{}", then.instead, name_of(then.kind),
                     id_of(then.subject), percent(then.margin), percent(then.margin_now),
                     turns_to_failure(item) ? ", FAILS" : "");
}

std::string report_text(const DesignReport& report, const DesignCall& call) {
  const bool colour = wants_colour();
  std::string text;
  for (const CircuitDesign& circuit : report.circuits) text += circuit_text(circuit, call, colour);
  for (const BackFeed& feed : report.back_feeds) {
    text += inked(fmt::format("back-feed, {}: ", harmless(feed.condition)), Ink::danger, colour) +
            fmt::format("{} {}\n", harmless(feed.text), print(feed.current));
  }
  if (report.back_feeds.empty()) text += "No back-feed in any key position.\n";
  if (!report.missing.empty()) text += "\nNot judged at load dump, jump start and the vehicle's volts:\n";
  for (const Missing& item : report.missing) text += "  " + harmless(item.text) + "\n";
  Columns table({"assumed", "of", "value", "why", "otherwise"});
  for (const DesignAssumption& item : report.assumptions)
    table.row({item.quantity, item.subject, item.value, item.why, outcome_text(item)},
              turns_to_failure(item) ? Ink::danger : Ink::plain);
  if (!table.empty()) text += "\n" + table.print(colour);
  text += fmt::format("\nRule set: {}. Limits are defaults; local codes and licensed practice come first.\n",
                      report.rule_set);
  return text;
}

std::string csv_text(const DesignReport& report) {
  std::string text = csv_line(
      {"circuit", "check", "subject", "value", "limit", "unit", "bound", "margin", "outcome", "condition"});
  for (const CircuitDesign& circuit : report.circuits) {
    for (const Check& check : circuit.checks) {
      text +=
          csv_line({circuit.name, name_of(check.kind), id_of(check.subject), number(check.value),
                    number(check.limit), check.unit, check.at_most ? "at_most" : "at_least",
                    fmt::format("{:.3f}", check.margin), check.passes ? "passes" : "fails", check.condition});
    }
  }
  return text;
}

std::string change_side(const std::optional<Check>& check) {
  if (!check) return "none";
  return fmt::format("{} {} ({})", number(check->value), check->unit, check->passes ? "passes" : "fails");
}

std::string what_text(const WhatIfReport& report) {
  const bool colour = wants_colour();
  std::string text =
      fmt::format("With {}: the design {} before and {} after.\n", harmless(report.change),
                  report.passed_before ? "passed" : "failed", report.passes_after ? "passes" : "fails");
  Columns table({"circuit", "check", "of", "before", "after"});
  for (const CheckChange& change : report.checks) {
    const Check& shown = change.after ? *change.after : *change.before;
    table.row({change.circuit, name_of(shown.kind), id_of(shown.subject), change_side(change.before),
               change_side(change.after)},
              !shown.passes ? Ink::danger : Ink::plain);
  }
  text += table.empty() ? "Nothing changes.\n" : table.print(colour);
  for (const SizeChange& size : report.sizes)
    text += fmt::format("wire {}: {} instead of {}\n", harmless(size.wire), print(size.after),
                        print(size.before));
  return text;
}

int run_what(const Graft& graft, const DesignReport& before, const DesignCall& call,
             const Problems& problems) {
  const auto other = changed(graft, call.what);
  if (!other) {
    print_problems({other.error()});
    return unusable;
  }
  const WhatIfReport report = what_if(before, design_circuits(*other, {.outcomes = false}), call.what);
  if (call.output.json) {
    print_json(to_json(report));
  } else {
    print_text(what_text(report));
  }
  return exit_over(problems, report.passes_after ? done : attention);
}

void keep_one(DesignReport& report, const std::string& wanted) {
  std::erase_if(report.circuits, [&](const CircuitDesign& circuit) {
    const bool has_wire = std::any_of(circuit.wires.begin(), circuit.wires.end(),
                                      [&](const WireDesign& wire) { return wire.wire == wanted; });
    return circuit.id != wanted && circuit.name != wanted && !has_wire;
  });
}

int run(const DesignCall& call) {
  Problems problems;
  const auto graft = read_graft_file(call.graft, problems);
  if (!graft) {
    print_problems(problems);
    return unusable;
  }
  DesignReport report = design_circuits(*graft, {.outcomes = call.what.empty()});
  if (!call.what.empty()) {
    print_problems(problems);
    return run_what(*graft, report, call, problems);
  }
  if (!call.circuit.empty()) {
    keep_one(report, call.circuit);
    if (report.circuits.empty()) {
      print_problems({{Severity::error,
                       "no-such-circuit",
                       {},
                       "The plan has no circuit \"" + call.circuit + "\".",
                       "Name a device, a wire or a circuit that the design without --circuit lists."}});
      return unusable;
    }
  }
  report.problems.insert(report.problems.begin(), problems.begin(), problems.end());
  if (call.output.json) {
    print_json(to_json(report));
  } else {
    print_text(call.output.csv ? csv_text(report) : report_text(report, call));
    print_problems(report.problems);
  }
  return exit_over(report.problems, report.passes ? done : attention);
}

}  // namespace

void add_design(CLI::App& app, int& exit) {
  auto call = std::make_shared<DesignCall>();
  auto* command = app.add_subcommand(
      "design", "wire sizes, fuses, drivers and earths of every circuit that the plan adds");
  command->add_option("graft", call->graft, "graft document")->required();
  command->add_option("--circuit", call->circuit, "only the circuit of this device or wire");
  command->add_option("--what", call->what, "what changes if one fact is different: ID.member=value");
  command->add_flag("--all", call->all, "every check, not only those that fail or decide a size");
  command->add_flag("--why", call->why, "formula, inputs and source of every check");
  add_output_options(*command, call->output, true);
  command->footer("Example: loomgraft design van.json --what pto_valve.resistance_ohm=7");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
