#include "plug/plug.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "cli/command.h"
#include "cli/input.h"
#include "cli/paper.h"
#include "plug/json.h"
#include "plug/observation.h"
#include "standards/dictionary.h"

namespace loomgraft::cli {
namespace {

struct PlugCall {
  std::string table;
  std::string seen;
  double certainty = 0.9;
  Output output;
};

std::string name_in(const Graft& graft, const std::string& id) {
  if (id.empty()) return "none of these";
  const Connector* connector = find_connector(graft, id);
  return connector && !connector->name.empty() ? connector->name : "the plug";
}

const char* side_of(View view) {
  if (view == View::wire_entry) return "seen from the wire-entry side";
  return view == View::mating ? "seen from the mating side" : "";
}

std::string text_of(const Graft& graft, const PlugHypothesis& h) {
  std::string text = name_in(graft, h.connector);
  if (h.connector.empty()) return text;
  return text + ", " + side_of(h.view) + (h.turned ? ", half a turn from how it is drawn" : ", as drawn");
}

std::string text_of(const Graft& graft, const PlugReport& report, bool colour) {
  Columns columns({"odds", "what it is"});
  for (std::size_t i = 0; i < report.hypotheses.size() && i < 6; ++i) {
    const PlugHypothesis& h = report.hypotheses[i];
    columns.row({fmt::format("{:5.1f} %", h.probability * 100), text_of(graft, h)},
                i == 0 && report.certain ? Ink::good : Ink::plain);
  }
  std::string text = columns.print(colour);
  text += report.certain
              ? "\n" + inked("Certain enough.", Ink::good, colour) + " " + report.cavity_one_text + "\n"
              : "\n" + inked("Not certain yet.", Ink::warning, colour) + " Look where it tells most:\n";
  for (const NextCavity& cavity : report.next) {
    if (!report.certain)
      text += fmt::format("  row {}, column {}  ({:.2f} bit)\n", cavity.row, cavity.column,
                          cavity.information_bits);
  }
  return text;
}

int run(const PlugCall& call) {
  InputFiles files;
  Graft graft;
  Problems problems;
  const std::string id = add_input(files, graft, call.table, "plug", ModuleRole::found, problems);
  ObservationReading seen = read_observation(call.seen, colour_notations());
  problems.insert(problems.end(), seen.problems.begin(), seen.problems.end());
  PlugReport report;
  PlugOptions options;
  options.certainty = call.certainty;
  if (!id.empty())
    report = find_plug(plug_candidates(graft, *find_module(graft, id)), seen.observation, options);
  problems.insert(problems.end(), report.problems.begin(), report.problems.end());
  if (call.output.json) {
    print_json(to_json(graft, report, problems));
  } else {
    if (!id.empty()) print_text(text_of(graft, report, wants_colour()));
    print_problems(problems);
  }
  if (id.empty()) return unusable;
  return report.certain ? done : attention;
}

}  // namespace

void add_plug(CLI::App& app, int& exit) {
  auto call = std::make_shared<PlugCall>();
  auto* command = app.add_subcommand(
      "plug", "which plug this is, seen from which side and which way up, from a few wires");
  command->add_option("table", call->table, "the module: table files joined by +, or GRAFT#module")
      ->required();
  command->add_option("--seen", call->seen, "what you see, by row from the top and column from the left")
      ->required();
  command->add_option("--certainty", call->certainty, "least probability for an answer")
      ->check(CLI::Range(0.5, 0.9999));
  add_output_options(*command, call->output, false);
  command->footer(
      "Example: loomgraft plug van.json#ecu --seen \"r1c1 YE/BU, r1c2 empty, r2c5 RD large, latch top\"\n"
      "Exit status 1: not certain yet.");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
