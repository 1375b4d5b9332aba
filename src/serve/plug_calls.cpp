// Which plug is this, and the plan that the comparison asks for.
#include <fmt/format.h>

#include <algorithm>

#include "base/problem_json.h"
#include "compare/propose.h"
#include "plug/json.h"
#include "plug/observation.h"
#include "serve/answers.h"
#include "serve/handlers.h"
#include "standards/dictionary.h"

namespace loomgraft::serve {
namespace {

int whole_number(const nlohmann::json& json, const char* name) {
  const auto found = json.find(name);
  if (found == json.end() || !found->is_number_integer()) return 0;
  const auto value = found->get<std::int64_t>();
  return value > 0 && value < 10000 ? static_cast<int>(value) : 0;
}

std::optional<bool> flag(const nlohmann::json& json, const char* name) {
  const auto found = json.find(name);
  if (found == json.end() || !found->is_boolean()) return std::nullopt;
  return found->get<bool>();
}

// One observed cavity as the text that read_observation() takes, so that colours are read in one way only.
std::string observed_cavity_text(const nlohmann::json& seen) {
  if (!seen.is_object()) return {};
  const int row = whole_number(seen, "row");
  const int column = whole_number(seen, "column");
  std::string text = row > 0 && column > 0 ? fmt::format("r{}c{}", row, column) : std::string("somewhere");
  std::string colour = text_member(seen, "colour");
  std::replace_if(
      colour.begin(), colour.end(), [](char c) { return c == ',' || c == ';' || c == '\n'; }, ' ');
  if (!colour.empty()) text += " " + colour;
  if (flag(seen, "empty").value_or(false)) text += " empty";
  if (const auto large = flag(seen, "large")) text += *large ? " large" : " small";
  return text;
}

std::string observation_text(const nlohmann::json& body) {
  std::string text = text_member(body, "text");
  const auto seen = body.find("seen");
  if (seen != body.end() && seen->is_array()) {
    for (const nlohmann::json& cavity : *seen)
      text += (text.empty() ? "" : ", ") + observed_cavity_text(cavity);
  }
  const auto also = [&](const std::string& words) { text += (text.empty() ? "" : ", ") + words; };
  const std::string latch = text_member(body, "latch");
  if (latch == "top" || latch == "bottom" || latch == "left" || latch == "right") also("latch " + latch);
  const std::string side = text_member(body, "side");
  if (side == "wire_entry") also("from wire side");
  if (side == "mating") also("from mating side");
  return text;
}

bool is_asked_for(const nlohmann::json& body, const std::string& connector) {
  const auto asked = body.find("connectors");
  if (asked == body.end() || !asked->is_array() || asked->empty()) return true;
  return std::any_of(asked->begin(), asked->end(), [&](const nlohmann::json& id) {
    return id.is_string() && id.get_ref<const std::string&>() == connector;
  });
}

}  // namespace

Answer post_plug(Workbench& bench, const Call& call) {
  const auto current = document_of(bench, call);
  if (!current) return current.error();
  const auto body = body_of(call);
  if (!body) return body.error();
  const Graft& graft = current->document->graft;
  std::vector<PlugCandidate> candidates;
  for (const Module& module : graft.modules) {
    const bool plugs_of_vehicle = module.role == ModuleRole::found || body->contains("connectors");
    if (!plugs_of_vehicle) continue;
    for (PlugCandidate& candidate : plug_candidates(graft, module)) {
      if (is_asked_for(*body, candidate.connector->id)) candidates.push_back(std::move(candidate));
    }
  }
  if (candidates.empty())
    return refuse(404, "no-such-connector", "The graft has no plugs to choose from.",
                  "Take in the pin table of the vehicle's module first.");
  ObservationReading seen = read_observation(observation_text(*body), colour_notations());
  const PlugReport report = find_plug(candidates, seen.observation);
  Problems problems = std::move(seen.problems);
  problems.insert(problems.end(), report.problems.begin(), report.problems.end());
  return json_answer(to_json(graft, report, problems));
}

Answer post_proposal(Workbench& bench, const Call& call) {
  const auto change = document_change(bench, call);
  if (!change) return change.error();
  const Graft& graft = change->base->graft;
  const std::string found = module_named(graft, text_member(change->body, "found"), ModuleRole::found);
  const std::string donor = module_named(graft, text_member(change->body, "donor"), ModuleRole::donor);
  if (found.empty() || donor.empty())
    return refuse(404, "no-such-module", "A plan needs a found and a donor module of the graft.",
                  "Take in both pin tables, or name the modules.");
  const Proposal proposal = propose_plan(graft, found, donor);
  const auto committed = change->graft->writer.commit(
      proposal.graft, change->expected, stamp_of(call, "the plan that the comparison asks for"));
  if (!committed) return refuse(committed.error());
  bench.grafts().check_now();
  return json_answer({{"revision", committed->revision},
                      {"moves", proposal.moves},
                      {"additions", proposal.additions},
                      {"retirements", proposal.retirements},
                      {"problems", problems_json(proposal.problems)}});
}

}  // namespace loomgraft::serve
