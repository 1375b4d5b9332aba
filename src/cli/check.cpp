#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "cli/command.h"
#include "cli/graft_file.h"
#include "cli/paper.h"
#include "loom/check_json.h"
#include "loom/plan.h"

namespace loomgraft::cli {
namespace {

struct CheckCall {
  std::string file;
  Output output;
};

int run(const CheckCall& call) {
  Problems problems;
  const std::optional<Graft> graft = read_graft_file(call.file, problems);
  if (call.output.json) {
    print_json(check_json(graft ? &*graft : nullptr, problems));
  } else {
    if (graft) {
      print_text(fmt::format("{}: {} modules, {} connectors, {} wires as found, {} as planned, {} problems\n",
                             harmless(call.file), graft->modules.size(), graft->connectors.size(),
                             graft->wires.size(), as_planned(*graft).wires.size(), problems.size()));
    }
    print_problems(problems);
  }
  if (!graft) return unusable;
  return problems.empty() ? done : attention;
}

}  // namespace

void add_check(CLI::App& app, int& exit) {
  auto call = std::make_shared<CheckCall>();
  auto* command = app.add_subcommand("check", "whether a graft document is complete and consistent");
  command->add_option("graft", call->file, "a graft document")->required();
  add_output_options(*command, call->output, false);
  command->footer(
      "Example: loomgraft check van.json\nExit status 1: there are problems; each is listed with its "
      "location.");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
