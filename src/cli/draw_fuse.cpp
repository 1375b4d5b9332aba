#include <memory>

#include "cli/draw.h"
#include "cli/graft_file.h"
#include "cli/input.h"
#include "design/design.h"
#include "draw/time_current.h"
#include "loom/part_text.h"

namespace loomgraft::cli {
namespace {

struct FuseCall {
  std::string graft;
  std::string wire;
  std::string file;
  double width_mm = 160.0;
};

const WireDesign* wire_of(const DesignReport& report, const std::string& id) {
  for (const CircuitDesign& circuit : report.circuits) {
    for (const WireDesign& wire : circuit.wires) {
      if (wire.wire == id) return &wire;
    }
  }
  return nullptr;
}

int run(const FuseCall& call) {
  Problems problems;
  const auto graft = read_graft_file(call.graft, problems);
  print_problems(problems);
  if (!graft) return unusable;
  const DesignReport report = design_circuits(*graft, {.remedies = false, .outcomes = false});
  const WireDesign* wire = wire_of(report, call.wire);
  if (!wire || !wire->protection) {
    print_problems({{Severity::error,
                     "no-fuse-on-the-way",
                     {call.graft, 0, 0, ""},
                     "There is no added wire \"" + call.wire + "\" that a fuse feeds.",
                     "Name a wire that `loomgraft design` lists, between a fuse and its load."}});
    return unusable;
  }
  const WireProtection& guarded = *wire->protection;
  const std::string drawing =
      draw_time_current({fuse_sheet_title(*graft, guarded.fuse, wire->wire), guarded.family, guarded.rating,
                         guarded.question, guarded.verdict, wire->current, call.width_mm});
  if (!write_drawing(call.file, drawing)) return unusable;
  return guarded.verdict.covered ? done : attention;
}

}  // namespace

void add_draw_fuse(CLI::App& draw, int& exit) {
  auto call = std::make_shared<FuseCall>();
  auto* command = draw.add_subcommand("fuse", "a fuse's opening time against what its wire withstands");
  command->add_option("graft", call->graft, "the graft document")->required();
  command->add_option("--wire", call->wire, "id of an added wire")->required();
  command->add_option("--width", call->width_mm, "width of the sheet in mm")->check(CLI::Range(70.0, 400.0));
  command->add_option("-o,--into", call->file, "the SVG file to write")->required();
  command->footer("Example: loomgraft draw fuse job.json --wire n_y20_1 -o fuse.svg");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
