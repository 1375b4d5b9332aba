#include "donor/rank.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "cli/command.h"
#include "cli/input.h"
#include "cli/paper.h"
#include "donor/json.h"
#include "text/csv.h"

namespace loomgraft::cli {
namespace {

struct RankCall {
  std::string found;
  std::vector<std::string> donors;
  std::size_t best = 20;
  Output output;
};

std::string make_up(const RankedDonor& donor) {
  const Summary& s = donor.summary;
  std::string text = fmt::format("keep {}, shift {}, add {}, retire {}, clash {}, unsure {}", s.keep, s.shift,
                                 s.add, s.retire, s.clash, s.unsure);
  if (donor.fire + donor.injury + donor.damage + donor.false_signal > 0) {
    text += fmt::format("; fire {}, injury {}, damage {}, false signal {}", donor.fire, donor.injury,
                        donor.damage, donor.false_signal);
  }
  for (const TagFinding& tag : donor.tags) {
    if (tag.weight != TagWeight::note)
      text += fmt::format("; {} {} against {}", tag.what, tag.donor, tag.found);
  }
  return text;
}

std::string text_of(const RankReport& report, bool colour) {
  Columns columns({"rank", "points", "donor", "made up of"});
  int rank_number = 0;
  for (const RankedDonor& donor : report.donors) {
    columns.row(
        {std::to_string(++rank_number), fmt::format("{:.0f}", donor.cost), donor.name, make_up(donor)},
        donor.fire + donor.injury + donor.damage > 0 ? Ink::warning : Ink::plain);
  }
  return columns.print(colour) +
         fmt::format("\nFewer points mean less work and risk. {} considered, {} compared pin by pin.\n",
                     report.considered, report.compared_in_full);
}

std::string csv_of(const RankReport& report) {
  std::string text = csv_line({"place", "points", "donor", "keep", "shift", "add", "retire", "clash",
                               "unsure", "fire", "injury", "damage", "false_signal", "tag_points"});
  int rank_number = 0;
  for (const RankedDonor& donor : report.donors) {
    const Summary& s = donor.summary;
    std::vector<std::string> cells{std::to_string(++rank_number), fmt::format("{:g}", donor.cost),
                                   donor.name};
    for (const int count : {s.keep, s.shift, s.add, s.retire, s.clash, s.unsure, donor.fire, donor.injury,
                            donor.damage, donor.false_signal}) {
      cells.push_back(std::to_string(count));
    }
    cells.push_back(fmt::format("{:g}", donor.tag_cost));
    text += csv_line(cells);
  }
  return text;
}

int run(const RankCall& call) {
  InputFiles files;
  Graft graft;
  Problems problems;
  const std::string found = add_input(files, graft, call.found, "found", ModuleRole::found, problems);
  KeyTable keys;
  DonorLibrary library(keys);
  for (std::size_t i = 0; i < call.donors.size(); ++i) {
    Graft pair = graft;
    const std::string id =
        add_input(files, pair, call.donors[i], fmt::format("donor{}", i + 1), ModuleRole::donor, problems);
    if (id.empty()) continue;
    if (!found.empty()) add_circuit_answers(files, pair, call.found, found, call.donors[i], id);
    const Module& donor = *find_module(pair, id);
    library.add_with_pins(
        donor, pair.connectors,
        found.empty() ? PairAnswers() : answers_between(pair, *find_module(pair, found), donor));
  }
  const bool usable = !found.empty() && library.size() > 0;
  RankReport report;
  RankOptions options;
  options.best = call.best;
  if (usable) report = rank(*find_module(graft, found), graft, keys, library, options);
  if (call.output.json) {
    print_json(to_json(report, problems));
  } else {
    if (usable) print_text(call.output.csv ? csv_of(report) : text_of(report, wants_colour()));
    print_problems(problems);
  }
  if (!usable) return unusable;
  return exit_over(problems, library.size() < call.donors.size() ? attention : done);
}

}  // namespace

void add_rank(CLI::App& app, int& exit) {
  auto call = std::make_shared<RankCall>();
  auto* command =
      app.add_subcommand("rank", "which of several donor modules fits with the least work and risk");
  command->add_option("found", call->found, "the vehicle's module, as for compare")->required();
  command->add_option("donors", call->donors, "donor modules, each as for compare")->required();
  command->add_option("--best", call->best, "how many to show")->check(CLI::Range(1, 1000));
  add_output_options(*command, call->output, true);
  command->footer("Example: loomgraft rank found.csv donor-a.txt donor-b.md donor-c.csv");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
