#include <fmt/format.h>

#include <cmath>
#include <memory>
#include <nlohmann/json.hpp>

#include "base/problem_json.h"
#include "cli/command.h"
#include "cli/network_options.h"
#include "cli/paper.h"
#include "loom/end_id.h"
#include "network/assumption_effects.h"
#include "network/json.h"
#include "text/csv.h"
#include "units/print.h"

namespace loomgraft::cli {
namespace {

struct SolveCall {
  NetworkCall network;
  bool all = false;
  std::string watch;  // "connector:cavity" or "device:terminal"
  Output output;
};

struct SolvedView {
  const ReadyNetwork& ready;
  bool colour = false;

  const NetworkBranch& branch(std::size_t k) const { return ready.network.branches[k]; }
  std::size_t count() const { return ready.network.branches.size(); }
  Amperes current(std::size_t k) const { return branch_current(ready.network, ready.solution, k); }
  Watts power(std::size_t k) const { return branch_power(ready.network, ready.solution, k); }
  Volts at(NodeId node) const { return ready.solution.point.nodes[node.value]; }
  bool overloaded(std::size_t k) const { return is_overloaded(ready.network, ready.solution, k); }
};

Amperes size_of(Amperes current) {
  return {std::abs(current.si)};
}

std::string headed(const char* head, const Columns& columns, bool colour) {
  if (columns.empty()) return {};
  return inked(head, Ink::strong, colour) + "\n" + columns.print(colour) + "\n";
}

// A consumer below a microampere does not work.
constexpr double worth_showing = 1e-6;

std::string loads(const SolvedView& view, bool all) {
  Columns columns({"load", "current", "rating", "share", "fuse, contacts or pin"});
  for (std::size_t k = 0; k < view.count(); ++k) {
    const NetworkBranch& branch = view.branch(k);
    const double current = std::abs(view.current(k).si);
    const bool matters = branch.kind == BranchKind::fuse || view.overloaded(k) || current > 0.1;
    if (!branch.rating || !(all || matters)) continue;
    columns.row(
        {view.overloaded(k) ? "overloaded" : "carried", print(Amperes{current}), print(*branch.rating),
         fmt::format("{:.0f} %", 100 * current / branch.rating->si), branch.name},
        view.overloaded(k) ? Ink::danger : Ink::plain);
  }
  return headed("Fuses, contacts and pins", columns, view.colour);
}

std::string consumers(const SolvedView& view, bool all) {
  Columns columns({"consumer", "volts", "current", "power", "between"});
  for (std::size_t k = 0; k < view.count(); ++k) {
    const NetworkBranch& branch = view.branch(k);
    if (branch.kind != BranchKind::consumer && branch.kind != BranchKind::supply) continue;
    if (!all && std::abs(view.current(k).si) < worth_showing) continue;
    columns.row({branch.name, print(view.at(branch.a) - view.at(branch.b)), print(size_of(view.current(k))),
                 print(view.power(k)),
                 view.ready.network.nodes[branch.a.value].name + " and " +
                     view.ready.network.nodes[branch.b.value].name});
  }
  return headed("Consumers and what feeds them", columns, view.colour);
}

std::string relays(const SolvedView& view) {
  Columns columns({"relay", "position", "across its coil", "pulls in at", "releases below"});
  for (std::size_t k = 0; k < view.ready.network.relays.size(); ++k) {
    const NetworkRelay& relay = view.ready.network.relays[k];
    const RelayPosition position = view.ready.solution.relays[k];
    const double across = std::abs((view.at(relay.coil_a) - view.at(relay.coil_b)).si);
    columns.row(
        {relay.device, name_of(position), print(Volts{across}), print(relay.pull_in), print(relay.release)},
        position == RelayPosition::oscillating ? Ink::danger : Ink::plain);
  }
  return headed("Relays and running modules", columns, view.colour);
}

std::string nodes(const SolvedView& view, bool all) {
  Columns columns({"volts", "at"});
  for (std::size_t k = 1; k < view.ready.network.nodes.size(); ++k) {
    const NetworkNode& node = view.ready.network.nodes[k];
    if (!all && (node.module_side || node.at.at.empty())) continue;
    columns.row({print(view.at({static_cast<std::uint32_t>(k)})), node.name});
  }
  return headed("Volts to the body", columns, view.colour);
}

std::string conductors(const SolvedView& view) {
  Columns columns({"current", "drop", "power", "wire, contact or joint"});
  for (std::size_t k = 0; k < view.count(); ++k) {
    const NetworkBranch& branch = view.branch(k);
    const bool conductor = branch.kind == BranchKind::wire || branch.kind == BranchKind::contact ||
                           branch.kind == BranchKind::joint;
    if (!conductor) continue;
    const double drop = std::abs((view.at(branch.a) - view.at(branch.b)).si);
    columns.row({print(size_of(view.current(k))), print(Volts{drop}), print(view.power(k)), branch.name});
  }
  return headed("Wires, contacts and joints", columns, view.colour);
}

std::string assumptions(const SolvedView& view) {
  Columns columns({"of", "what", "value", "why"});
  for (const Assumption& item : view.ready.network.assumptions)
    columns.row({item.subject, item.quantity, item.value, item.why}, Ink::faint);
  return headed("Assumed, because the document does not say", columns, view.colour);
}

std::string text_of(const ReadyNetwork& ready, bool all) {
  const SolvedView view{ready, wants_colour()};
  return inked(fmt::format("Condition \"{}\", loom {}, {} corner", harmless(ready.condition.name),
                           name_of(ready.options.loom_state), name_of(ready.options.corner)),
               Ink::strong, view.colour) +
         "\n\n" + loads(view, all) + consumers(view, all) + relays(view) +
         (all ? conductors(view) : std::string()) + nodes(view, all) + assumptions(view) +
         "Do not use this tool on airbag, pretensioner or high-voltage circuits. Local codes and licensed "
         "practice come first.\n";
}

// How much each assumption changes the voltage at one end: what is worth measuring first.
tl::expected<std::string, Problem> effects_of(const ReadyNetwork& ready, const std::string& end) {
  Watch watch;
  watch.at = end_from(end);
  const auto effects = assumption_effects(ready.graft, ready.condition, ready.options, watch);
  if (!effects) return tl::unexpected(effects.error());
  const bool colour = wants_colour();
  Columns columns({"from", "to", "of", "what", "value"});
  for (const AssumptionEffect& effect : *effects)
    columns.row({print(Volts{effect.weakest}), print(Volts{effect.strongest}), effect.assumption.subject,
                 effect.assumption.quantity, effect.assumption.value});
  if (columns.empty()) return "No assumption changes the voltage at " + harmless(end) + ".\n";
  return headed("Voltage there with each assumption at its worst and at its best", columns, colour);
}

std::string csv_of(const ReadyNetwork& ready) {
  const SolvedView view{ready, false};
  std::string text = csv_line(
      {"kind", "subject", "name", "from", "to", "from_v", "to_v", "current_a", "power_w", "rating_a"});
  for (std::size_t k = 0; k < view.count(); ++k) {
    const NetworkBranch& branch = view.branch(k);
    if (branch.kind == BranchKind::leakage) continue;
    text +=
        csv_line({name_of(branch.kind), branch.subject, branch.name, ready.network.nodes[branch.a.value].name,
                  ready.network.nodes[branch.b.value].name, fmt::format("{:.6f}", view.at(branch.a).si),
                  fmt::format("{:.6f}", view.at(branch.b).si), fmt::format("{:.9g}", view.current(k).si),
                  fmt::format("{:.9g}", view.power(k).si),
                  branch.rating ? fmt::format("{:g}", branch.rating->si) : ""});
  }
  return text;
}

bool needs_attention(const ReadyNetwork& ready) {
  const SolvedView view{ready, false};
  for (std::size_t k = 0; k < view.count(); ++k) {
    if (view.overloaded(k)) return true;
  }
  for (const RelayPosition position : ready.solution.relays) {
    if (position == RelayPosition::oscillating) return true;
  }
  return false;
}

int run(const SolveCall& call) {
  Problems problems;
  const auto ready = ready_network(call.network, problems);
  if (!ready) {
    print_problems(problems);
    return unusable;
  }
  if (!call.watch.empty()) {
    const auto effects = effects_of(*ready, call.watch);
    if (effects) print_text(*effects);
    if (!effects) print_problems({effects.error()});
    return effects ? exit_over(problems, done) : unusable;
  }
  if (call.output.json) {
    nlohmann::ordered_json json{{"condition", ready->condition.name},
                                {"loom_state", name_of(ready->options.loom_state)},
                                {"corner", name_of(ready->options.corner)}};
    json.update(network_json(ready->network, ready->solution));
    json["problems"] = problems_json(problems);
    print_json(json);
  } else {
    print_text(call.output.csv ? csv_of(*ready) : text_of(*ready, call.all));
    print_problems(problems);
  }
  return exit_over(problems, needs_attention(*ready) ? attention : done);
}

}  // namespace

void add_solve(CLI::App& app, int& exit) {
  auto call = std::make_shared<SolveCall>();
  auto* command = app.add_subcommand("solve", "voltages and currents everywhere in the loom");
  add_network_options(*command, call->network);
  command->add_flag("--all", call->all, "every node, wire, contact and joint");
  command->add_option("--watch", call->watch,
                      "only how much each assumption changes the voltage at one end, such as C1:4 or V1:1");
  add_output_options(*command, call->output, true);
  command->footer(
      "Example: loomgraft solve van.json --condition key=on,work=S1,drive=C1:4 --corner weakest\n"
      "Exit status 1: a fuse, contacts or a pin carry more than their rating, or a relay oscillates.");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
