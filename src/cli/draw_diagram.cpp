#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "cli/draw.h"
#include "cli/graft_file.h"
#include "cli/input.h"
#include "draw/diagram.h"

namespace loomgraft::cli {
namespace {

struct DiagramCall {
  std::string graft;
  std::string file;
  std::string show = "found";
  bool black = false;
  DiagramOptions options;
};

Problem not_written(const std::string& path) {
  return {Severity::error,
          "not-written",
          {path, 0, 0, ""},
          "The drawing could not be written.",
          "Check the folder, its permissions and the space left."};
}

int run(const DiagramCall& call) {
  Problems problems;
  const std::optional<Graft> graft = read_graft_file(call.graft, problems);
  if (!graft) {
    print_problems(problems);
    return unusable;
  }
  DiagramOptions options = call.options;
  if (call.show == "planned") options.show = DiagramShow::planned;
  if (call.show == "difference") options.show = DiagramShow::difference;
  if (call.black) options.ink = WireInk::black;
  Diagram diagram = draw_diagram(*graft, options);
  for (Problem& problem : diagram.problems) {
    problem.place.file = call.graft;
    // What is wrong with the document as such has been told by its reading.
    if (std::find(problems.begin(), problems.end(), problem) == problems.end()) problems.push_back(problem);
  }
  print_problems(problems);
  if (!write_file(call.file, diagram.svg)) {
    print_problems({not_written(call.file)});
    return unusable;
  }
  print_text(fmt::format("{}: {:.0f} x {:.0f} mm, {} crossing{}{}\n", call.file, diagram.width_mm,
                         diagram.height_mm, diagram.crossings, diagram.crossings == 1 ? "" : "s",
                         diagram.fewest ? ", the fewest possible in this arrangement" : ""));
  return has_error(problems) ? attention : done;
}

}  // namespace

void add_draw_diagram(CLI::App& draw, int& exit) {
  auto call = std::make_shared<DiagramCall>();
  auto* diagram = draw.add_subcommand("diagram", "the circuit diagram of a graft, a module or a circuit");
  diagram->add_option("graft", call->graft, "the graft document")->required();
  auto* module =
      diagram->add_option("--module", call->options.module, "only this module and what it reaches");
  diagram->add_option("--circuit", call->options.circuit, "only what this signal, wire or device reaches")
      ->excludes(module);
  diagram->add_option("--show", call->show, "found, planned, or the difference between them")
      ->check(CLI::IsMember({"found", "planned", "difference"}));
  diagram->add_flag("--black", call->black, "black lines with colour letters, for a black and white printer");
  diagram->add_option("--width", call->options.width_mm, "width of the sheet in mm; 90 suits a phone")
      ->check(CLI::Range(40.0, 5000.0));
  diagram->add_option("-o,--into", call->file, "the SVG file to write")->required();
  diagram->footer(
      "Example: loomgraft draw diagram job.json --circuit \"PTO valve\" --show difference -o pto.svg");
  diagram->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
