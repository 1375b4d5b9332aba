// Circuit cards, and the changes that a person makes on them with one tap.
#include <fmt/format.h>

#include <map>

#include "base/problem_json.h"
#include "design/design.h"
#include "recipes/cards.h"
#include "recipes/complete.h"
#include "recipes/loom_edits.h"
#include "recipes/places.h"
#include "serve/answers.h"
#include "serve/handlers.h"

namespace loomgraft::serve {
namespace {

Completion unknown_change(const Graft& graft, const nlohmann::json&) {
  return {
      graft,
      {},
      {},
      {{Severity::error, "not-editable", {}, "There is no such change of a circuit.", "See docs/api.md."}}};
}

// A circuit that a recipe completed before is opened again first: taking another recipe replaces it.
Completion taken(const Graft& graft, const nlohmann::json& body) {
  CompleteRequest request{text_member(body, "wire"), text_member(body, "recipe"), {}};
  if (const auto use = body.find("use"); use != body.end() && use->is_object()) {
    for (const auto& [part, id] : use->items()) {
      if (id.is_string()) request.use[part] = id.get<std::string>();
    }
  }
  Completion opened = reopen_circuit(graft, request.wire);
  return complete_circuit(opened.problems.empty() ? opened.graft : graft, request);
}

Completion remedied(const Graft& graft, const nlohmann::json& body) {
  auto changed = with_remedy(graft, text_member(body, "remedy"), text_member(body, "subject"));
  if (changed) return {std::move(*changed), {}, {}, {}};
  return {graft,
          {},
          {},
          {{Severity::error,
            "no-such-remedy",
            {},
            "The design does not offer this remedy.",
            "Read the design again: the loom has changed."}}};
}

using CircuitChange = Completion (*)(const Graft&, const nlohmann::json&);

CircuitChange change_named(const std::string& name) {
  static const std::map<std::string, CircuitChange> changes{
      {"take", taken},
      {"take_all", [](const Graft& graft, const nlohmann::json&) { return complete_all(graft); }},
      {"reopen", [](const Graft& graft,
                    const nlohmann::json& body) { return reopen_circuit(graft, text_member(body, "wire")); }},
      {"confirm",
       [](const Graft& graft, const nlohmann::json& body) {
         return confirm_circuit(graft, text_member(body, "wire"));
       }},
      {"insert",
       [](const Graft& graft, const nlohmann::json& body) {
         return insert_part(graft, text_member(body, "wire"), text_member(body, "part"));
       }},
      {"second_earth",
       [](const Graft& graft, const nlohmann::json& body) {
         return second_earth(graft, text_member(body, "device"));
       }},
      {"use_existing",
       [](const Graft& graft, const nlohmann::json& body) {
         return use_existing(graft, text_member(body, "device"), text_member(body, "other"));
       }},
      {"places", [](const Graft& graft,
                    const nlohmann::json& body) { return with_places(graft, text_member(body, "shape")); }},
      {"remedy", remedied}};
  const auto found = changes.find(name);
  return found == changes.end() ? unknown_change : found->second;
}

}  // namespace

Answer get_circuits(Workbench& bench, const Call& call) {
  const auto current = document_of(bench, call);
  if (!current) return current.error();
  return report_answer(bench, call, *current, "circuits",
                       [document = current->document](const JobControl& control) {
                         return result_of(to_json(circuit_cards(document->graft, control.stop)));
                       });
}

Answer get_recipes(Workbench&, const Call&) {
  return json_answer(recipes_json());
}

Answer post_circuit_change(Workbench& bench, const Call& call) {
  const auto change = document_change(bench, call);
  if (!change) return change.error();
  const std::string name = text_member(change->body, "change");
  Completion done = change_named(name)(change->base->graft, change->body);
  if (has_error(done.problems) && name != "take_all") return refuse(done.problems);
  std::string what = text_member(change->body, "text");
  const auto committed = change->graft->writer.commit(done.graft, change->expected,
                                                      stamp_of(call, what.empty() ? "a circuit" : what));
  if (!committed) return refuse(committed.error());
  bench.grafts().check_now();
  return json_answer({{"revision", committed->revision},
                      {"devices", done.devices},
                      {"wires", done.wires},
                      {"problems", problems_json(done.problems)}});
}

}  // namespace loomgraft::serve
