#include <fmt/format.h>
#include <sys/stat.h>

#include <map>
#include <memory>
#include <nlohmann/json.hpp>

#include "base/ascii.h"
#include "cli/draw.h"
#include "cli/input.h"
#include "cli/paper.h"
#include "compare/compare.h"
#include "draw/face.h"
#include "draw/face_marks.h"

namespace loomgraft::cli {
namespace {

struct FacesCall {
  std::string found;
  std::string donor;
  std::string folder = ".";
  std::string side = "both";
  double width_mm = 190.0;
  bool black = false;
};

std::string drawing(const Connector& plug, const std::vector<FaceMark>& marks, const FacesCall& call) {
  FaceOptions options;
  options.width_mm = call.width_mm;
  if (call.black) options.ink = WireInk::black;
  if (call.side == "wire_entry") return draw_face(plug, marks, View::wire_entry, options);
  if (call.side == "mating") return draw_face(plug, marks, View::mating, options);
  return draw_faces(plug, marks, options);
}

std::string file_name(const std::string& name, std::size_t number) {
  std::string out;
  for (const char c : name) out += is_digit(c) || is_letter(c) ? c : '_';
  return out.empty() ? fmt::format("plug{}", number) : out;
}

int run(const FacesCall& call) {
  InputFiles files;
  Graft graft;
  Problems problems;
  const std::string found = add_input(files, graft, call.found, "found", ModuleRole::found, problems);
  std::string donor;
  if (!call.donor.empty()) donor = add_input(files, graft, call.donor, "donor", ModuleRole::donor, problems);
  print_problems(problems);
  if (found.empty() || (!call.donor.empty() && donor.empty())) return unusable;
  CompareReport report;
  if (!donor.empty()) add_circuit_answers(files, graft, call.found, found, call.donor, donor);
  if (!donor.empty()) report = compare_modules(graft, found, donor);
  mkdir(call.folder.c_str(), 0777);
  const Module& module = *find_module(graft, found);
  std::map<std::string, int> used;
  for (std::size_t i = 0; i < module.connectors.size(); ++i) {
    const Connector* plug = find_connector(graft, module.connectors[i]);
    if (!plug) continue;
    std::string name = file_name(plug->name, i + 1);
    if (used[name]++ > 0) name += fmt::format("_{}", i + 1);
    const std::string path = call.folder + "/" + name + ".svg";
    if (!write_drawing(path, drawing(*plug, face_marks(*plug, module, report), call))) return unusable;
  }
  return done;
}

}  // namespace

void add_draw_faces(CLI::App& draw, int& exit) {
  auto call = std::make_shared<FacesCall>();
  auto* faces =
      draw.add_subcommand("faces", "every plug of the vehicle's module, from both sides, with the verdicts");
  faces->add_option("found", call->found, "the vehicle's module: table files joined by +, or GRAFT#module")
      ->required();
  faces->add_option("donor", call->donor, "a donor module, to show each cavity's verdict");
  faces->add_option("-o,--into", call->folder, "folder for the drawings");
  faces->add_option("--side", call->side, "wire_entry, mating or both")
      ->check(CLI::IsMember({"wire_entry", "mating", "both"}));
  faces->add_option("--width", call->width_mm, "width of the sheet in mm; 90 suits a phone")
      ->check(CLI::Range(60.0, 1000.0));
  faces->add_flag("--black", call->black, "patterns instead of colours, for a black-and-white printer");
  faces->footer("Example: loomgraft draw faces van.json#found van.json#donor -o drawings");
  faces->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
