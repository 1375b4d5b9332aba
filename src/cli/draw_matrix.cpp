#include <memory>

#include "cli/draw.h"
#include "cli/graft_file.h"
#include "cli/input.h"
#include "draw/matrix.h"
#include "prove/prove.h"

namespace loomgraft::cli {
namespace {

struct MatrixCall {
  std::string graft;
  std::string file;
  bool whole = false;
  std::string meter;
};

int run(const MatrixCall& call) {
  Problems problems;
  const auto graft = read_graft_file(call.graft, problems);
  print_problems(problems);
  if (!graft) return unusable;
  ProveOptions options;
  options.faults.whole_loom = call.whole;
  options.meter = call.meter;
  MatrixOptions drawn;
  drawn.readings = readings_of(graft->readings, false);
  return write_drawing(call.file, draw_matrix(prove_loom(*graft, options).report, drawn)) ? done : unusable;
}

}  // namespace

void add_draw_matrix(CLI::App& draw, int& exit) {
  auto call = std::make_shared<MatrixCall>();
  auto* command = draw.add_subcommand("matrix", "which step of the test plan exposes which fault");
  command->add_option("graft", call->graft, "the graft document")->required();
  command->add_option("-o,--into", call->file, "the SVG file to write")->required();
  command->add_flag("--whole", call->whole, "the whole loom, not only what the plan adds, moves or touches");
  command->add_option("--meter", call->meter, "the meter at hand: handheld, simple or fine");
  command->footer("Example: loomgraft draw matrix examples/power-takeoff/graft.json -o matrix.svg");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
