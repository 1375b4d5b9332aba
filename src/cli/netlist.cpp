#include "network/netlist.h"

#include <memory>

#include "cli/command.h"
#include "cli/input.h"
#include "cli/network_options.h"

namespace loomgraft::cli {
namespace {

struct NetlistCall {
  NetworkCall network;
  std::string out;
};

int run(const NetlistCall& call) {
  Problems problems;
  const auto ready = ready_network(call.network, problems);
  print_problems(problems);
  if (!ready) return unusable;
  const std::string deck = netlist(ready->network, &ready->solution.point);
  if (call.out.empty()) {
    print_text(deck);
  } else if (!write_file(call.out, deck)) {
    print_problems({{Severity::error,
                     "not-written",
                     {call.out, 0, 0, ""},
                     "The file could not be written.",
                     "Check the folder, its permissions and the space left."}});
    return unusable;
  }
  return exit_over(problems, done);
}

}  // namespace

void add_netlist(CLI::App& app, int& exit) {
  auto call = std::make_shared<NetlistCall>();
  auto* command = app.add_subcommand("netlist", "the loom's electrical network, for another circuit solver");
  add_network_options(*command, call->network);
  command->add_option("-o,--out", call->out, "a file instead of standard output");
  command->footer(
      "Example: loomgraft netlist van.json --condition on -o van.cir && ngspice -b van.cir\n"
      "Relays are fixed in their solved positions; comments say what each node and element is.");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
