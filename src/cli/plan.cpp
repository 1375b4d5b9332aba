#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <nlohmann/json.hpp>

#include "base/problem_json.h"
#include "cli/command.h"
#include "cli/graft_file.h"
#include "cli/input.h"
#include "cli/paper.h"
#include "compare/propose.h"
#include "loom/graft_json.h"
#include "loom/part_text.h"

namespace loomgraft::cli {
namespace {

struct PlanCall {
  std::string graft;
  std::string found;
  std::string donor;
  std::string out;
  Output output;
};

std::string module_of(const Graft& graft, const std::string& named, ModuleRole role) {
  if (!named.empty()) return named;
  const auto found = std::find_if(graft.modules.begin(), graft.modules.end(),
                                  [&](const Module& module) { return module.role == role; });
  return found == graft.modules.end() ? std::string() : found->id;
}

std::string place(const Graft& graft, const WireEnd& end) {
  if (end.at.empty()) return "open end";
  const auto device = std::ranges::find(graft.devices, end.at, &Device::id);
  if (device == graft.devices.end()) return cavity_text(graft, {end.at, end.cavity});
  return device_mark(*device) + (end.cavity.empty() ? "" : ":" + end.cavity);
}

std::string plan_text(const Graft& graft) {
  constexpr const char* actions[] = {"move", "add", "retire"};
  Columns table({"step", "action", "wire", "from", "to", "why"});
  for (std::size_t i = 0; i < graft.plan.size(); ++i) {
    const PlanStep& step = graft.plan[i];
    const bool adds = step.action == PlanAction::add && step.added;
    table.row({fmt::format("{}", i + 1), actions[static_cast<int>(step.action)],
               adds ? step.added->id : step.wire,
               adds                              ? place(graft, step.added->from)
               : step.action == PlanAction::move ? place(graft, step.from)
                                                 : "",
               adds                              ? place(graft, step.added->to)
               : step.action == PlanAction::move ? place(graft, step.to)
                                                 : "",
               step.reason});
  }
  return table.empty() ? "The plan is empty.\n" : table.print(wants_colour());
}

Problem not_written(const std::string& path) {
  return {Severity::error,
          "not-written",
          {path, 0, 0, ""},
          "The file could not be written.",
          "Check the folder, its permissions and the space left."};
}

int run(const PlanCall& call) {
  Problems problems;
  const auto graft = read_graft_file(call.graft, problems);
  if (!graft) {
    print_problems(problems);
    return unusable;
  }
  const std::string found = module_of(*graft, call.found, ModuleRole::found);
  const std::string donor = module_of(*graft, call.donor, ModuleRole::donor);
  if (!find_module(*graft, found) || !find_module(*graft, donor)) {
    print_problems({{Severity::error,
                     "no-such-module",
                     {call.graft, 0, 0, ""},
                     "The graft has no found and donor module of these names.",
                     "Name them with --found and --donor; `loomgraft new` reads them from tables."}});
    return unusable;
  }
  Proposal proposal = propose_plan(*graft, found, donor);
  problems.insert(problems.end(), proposal.problems.begin(), proposal.problems.end());
  if (!call.out.empty() && !write_file(call.out, write_graft(proposal.graft))) {
    print_problems({not_written(call.out)});
    return unusable;
  }
  if (call.output.json) {
    print_json({{"moves", proposal.moves},
                {"additions", proposal.additions},
                {"retirements", proposal.retirements},
                {"graft", to_json(proposal.graft)},
                {"problems", problems_json(problems)}});
  } else {
    print_text(plan_text(proposal.graft));
    print_problems(problems);
  }
  return exit_over(problems, done);
}

}  // namespace

void add_plan(CLI::App& app, int& exit) {
  auto call = std::make_shared<PlanCall>();
  auto* command =
      app.add_subcommand("plan", "the steps that the comparison asks for, as a plan in the document");
  command->add_option("graft", call->graft, "graft document with a found and a donor module")->required();
  command->add_option("--found", call->found, "id of the found module, where there are several");
  command->add_option("--donor", call->donor, "id of the donor module, where there are several");
  command->add_option("-o,--into", call->out, "write the document with its plan here");
  add_output_options(*command, call->output, false);
  command->footer("Example: loomgraft plan van.json -o van.json");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
