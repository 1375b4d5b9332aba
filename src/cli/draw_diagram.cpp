#include <fmt/format.h>

#include <memory>

#include "cli/draw.h"
#include "cli/input.h"
#include "draw/diagram.h"
#include "loom/graft_json.h"

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
  const FileBytes file = read_file(call.graft);
  print_problems(file.problems);
  if (!file.bytes) return unusable;
  const GraftReading reading = graft_from_json(*file.bytes, call.graft);
  print_problems(reading.problems);
  if (!reading.graft) return unusable;
  DiagramOptions options = call.options;
  if (call.show == "planned") options.show = DiagramShow::planned;
  if (call.show == "difference") options.show = DiagramShow::difference;
  if (call.black) options.ink = WireInk::black;
  Diagram diagram = draw_diagram(*reading.graft, options);
  for (Problem& problem : diagram.problems) problem.place.file = call.graft;
  print_problems(diagram.problems);
  if (!write_file(call.file, diagram.svg)) {
    print_problems({not_written(call.file)});
    return unusable;
  }
  print_text(fmt::format("{}: {:.0f} x {:.0f} mm, {} crossing{}{}\n", call.file, diagram.width_mm,
                         diagram.height_mm, diagram.crossings, diagram.crossings == 1 ? "" : "s",
                         diagram.fewest ? ", the fewest possible in this arrangement" : ""));
  return has_error(diagram.problems) ? attention : done;
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
