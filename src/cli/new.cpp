#include <fmt/format.h>
#include <sys/stat.h>

#include <memory>
#include <nlohmann/json.hpp>

#include "cli/command.h"
#include "cli/input.h"
#include "cli/paper.h"
#include "loom/graft_json.h"

namespace loomgraft::cli {
namespace {

struct NewCall {
  std::string file;
  std::string title;
  std::string found;
  std::vector<std::string> donors;
  std::string connectors;
  double supply_v = 12.0;
  bool replace = false;
};

// Geometry from a file replaces guessed rows, by connector name, in every module.
void take_geometry(Graft& graft, const std::string& path, Problems& problems) {
  FileContent file = read_file(path);
  problems.insert(problems.end(), file.problems.begin(), file.problems.end());
  if (!file.bytes) return;
  GraftReading reading =
      graft_from_json("{\"format\":\"loomgraft\",\"version\":1,\"connectors\":" + *file.bytes + "}", path);
  problems.insert(problems.end(), reading.problems.begin(), reading.problems.end());
  if (!reading.graft) return;
  for (Connector& connector : graft.connectors) {
    for (const Connector& drawn : reading.graft->connectors) {
      if (drawn.name != connector.name) continue;
      const std::string id = connector.id;
      connector = drawn;
      connector.id = id;
    }
  }
}

int run(const NewCall& call) {
  struct stat info {};
  if (!call.replace && stat(call.file.c_str(), &info) == 0) {
    print_problems({{Severity::error,
                     "file-exists",
                     {call.file, 0, 0, ""},
                     "There is a file of this name already.",
                     "Choose another name, or add --replace."}});
    return unusable;
  }
  InputFiles files;
  Graft graft;
  graft.title = call.title;
  graft.vehicle.supply = Volts{call.supply_v};
  Problems problems;
  bool complete = true;
  if (!call.found.empty())
    complete = !add_input(files, graft, call.found, "found", ModuleRole::found, problems).empty();
  for (std::size_t i = 0; i < call.donors.size(); ++i) {
    const std::string id = i == 0 ? "donor" : fmt::format("donor{}", i + 1);
    complete = !add_input(files, graft, call.donors[i], id, ModuleRole::donor, problems).empty() && complete;
  }
  if (!call.connectors.empty()) take_geometry(graft, call.connectors, problems);
  print_problems(problems);
  if (!complete) return unusable;
  if (!write_file(call.file, write_graft(graft))) {
    print_problems({{Severity::error,
                     "not-written",
                     {call.file, 0, 0, ""},
                     "The file could not be written.",
                     "Check the folder, its permissions and the space left."}});
    return unusable;
  }
  print_text(fmt::format("{}: {} modules, {} connectors\n", harmless(call.file), graft.modules.size(),
                         graft.connectors.size()));
  return exit_over(problems, done);
}

}  // namespace

void add_new(CLI::App& app, int& exit) {
  auto call = std::make_shared<NewCall>();
  auto* command = app.add_subcommand("new", "start a graft document, empty or from pin tables");
  command->add_option("graft", call->file, "the document to write")->required();
  command->add_option("--title", call->title, "what the job is");
  command->add_option("--found", call->found, "the vehicle's module: table files joined by +");
  command->add_option("--donor", call->donors, "a donor module, in the same form; can be repeated");
  command->add_option("--connectors", call->connectors,
                      "geometry of the plugs: a JSON list of connectors, matched by name");
  command->add_option("--supply", call->supply_v, "nominal supply in volts: 12 or 24")
      ->check(CLI::Range(5.0, 60.0));
  command->add_flag("--replace", call->replace, "overwrite the document");
  command->footer(
      "Example: loomgraft new van.json --title \"Power take-off\" --found found.csv+forum.md --donor "
      "donor.txt");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
