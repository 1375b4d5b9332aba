#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <memory>

#include "cli/draw.h"
#include "cli/graft_file.h"
#include "cli/input.h"
#include "diagram/diagram.h"
#include "diagram/paper.h"

namespace loomgraft::cli {
namespace {

struct DiagramCall {
  std::string graft;
  std::string file;
  std::string show = "found";
  bool black = false;
  std::string paper;  // empty: one drawing as large as it needs
  bool portrait = false;
  std::string revision;
  std::string date;
  DiagramOptions options;
};

// Problems of the document itself were found when it was read.
void add_problems(const DiagramCall& call, Problems drawing, Problems& problems) {
  for (Problem& problem : drawing) {
    problem.location.file = call.graft;
    if (std::find(problems.begin(), problems.end(), problem) == problems.end()) problems.push_back(problem);
  }
  print_problems(problems);
}

int draw_whole(const DiagramCall& call, const Graft& graft, const DiagramOptions& options,
               Problems& problems) {
  const Diagram diagram = draw_diagram(graft, options);
  add_problems(call, diagram.problems, problems);
  if (!write_drawing(call.file, diagram.svg)) return unusable;
  print_text(fmt::format("{:.0f} x {:.0f} mm, {} crossing{}{}\n", diagram.width_mm, diagram.height_mm,
                         diagram.crossings, diagram.crossings == 1 ? "" : "s",
                         diagram.fewest ? ", the fewest possible in this arrangement" : ""));
  return has_error(problems) ? attention : done;
}

// "plan.svg" becomes "plan-1.svg", "plan-2.svg", ...
std::string numbered(const std::string& file, std::size_t number) {
  const std::filesystem::path path(file);
  return (path.parent_path() /
          fmt::format("{}-{}{}", path.stem().string(), number, path.extension().string()))
      .string();
}

int draw_sheets(const DiagramCall& call, const Graft& graft, const DiagramOptions& options,
                Problems& problems) {
  const PaperDiagram diagram = draw_diagram_on_paper(
      graft, options, {call.paper == "a3" ? Paper::a3 : Paper::a4, call.portrait, call.revision, call.date});
  add_problems(call, diagram.problems, problems);
  if (call.file.ends_with(".html")) {
    if (!write_drawing(call.file, in_one_page(diagram))) return unusable;
  } else {
    for (std::size_t s = 0; s < diagram.sheets.size(); ++s) {
      if (!write_drawing(numbered(call.file, s + 1), on_its_own(diagram, diagram.sheets[s]))) return unusable;
    }
  }
  std::size_t crossings = 0;
  for (const PaperSheet& sheet : diagram.sheets) crossings += sheet.crossings;
  print_text(fmt::format("{} sheet{} of {:.0f} x {:.0f} mm, {} crossing{}\n", diagram.sheets.size(),
                         diagram.sheets.size() == 1 ? "" : "s", diagram.size.width, diagram.size.height,
                         crossings, crossings == 1 ? "" : "s"));
  return has_error(problems) ? attention : done;
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
  return call.paper.empty() ? draw_whole(call, *graft, options, problems)
                            : draw_sheets(call, *graft, options, problems);
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
  diagram->add_flag("--black", call->black, "black lines with colour letters, for a black-and-white printer");
  auto* paper =
      diagram->add_option("--paper", call->paper, "cut into sheets of this paper, with an index: a4 or a3")
          ->check(CLI::IsMember({"a4", "a3"}));
  diagram->add_flag("--portrait", call->portrait, "portrait instead of landscape")->needs(paper);
  diagram->add_option("--revision", call->revision, "for the title block of the sheets")->needs(paper);
  diagram->add_option("--date", call->date, "for the title block of the sheets")->needs(paper);
  diagram->add_option("--width", call->options.width_mm, "width of the sheet in mm; 90 suits a phone")
      ->check(CLI::Range(40.0, 5000.0))
      ->excludes(paper);
  diagram
      ->add_option("-o,--into", call->file,
                   "the SVG file to write; of sheets the beginning of their names, or one .html")
      ->required();
  diagram->footer(
      "Example: loomgraft draw diagram job.json --circuit \"PTO valve\" --show difference -o pto.svg");
  diagram->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
