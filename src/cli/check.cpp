#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "cli/command.h"
#include "cli/input.h"
#include "cli/paper.h"
#include "loom/graft_json.h"
#include "loom/plan.h"
#include "loom/validate.h"
#include "text/problem_json.h"

namespace loomgraft::cli {
namespace {

struct CheckCall {
  std::string file;
  Output output;
};

int run(const CheckCall& call) {
  FileBytes file = read_file(call.file);
  Problems problems = file.problems;
  std::optional<Graft> graft;
  if (file.bytes) {
    GraftReading reading = graft_from_json(*file.bytes, call.file);
    problems = reading.problems;
    graft = std::move(reading.graft);
  }
  if (graft) {
    for (Problem problem : validate(*graft)) {
      problem.place.file = call.file;
      problems.push_back(std::move(problem));
    }
  }
  if (call.output.json) {
    print_json({{"usable", graft.has_value()}, {"problems", problems_json(problems)}});
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
  auto* command = app.add_subcommand("check", "whether a graft document holds together");
  command->add_option("graft", call->file, "a graft document")->required();
  add_output_options(*command, call->output, false);
  command->footer(
      "Example: loomgraft check van.json\nExit status 1: there are problems, each named with its place.");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
