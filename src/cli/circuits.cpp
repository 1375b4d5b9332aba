#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <nlohmann/json.hpp>

#include "cli/command.h"
#include "cli/graft_file.h"
#include "cli/input.h"
#include "cli/paper.h"
#include "loom/graft_json.h"
#include "recipes/cards.h"
#include "recipes/complete.h"
#include "recipes/places.h"

namespace loomgraft::cli {
namespace {

struct CircuitsCall {
  std::string graft;
  std::vector<std::string> take;
  bool take_all = false;
  std::string shape;
  bool list_recipes = false;
  std::string out;
  Output output;
};

std::string row_text(const CardRow& row) {
  std::string text;
  for (const CardPart& part : row) {
    if (!text.empty()) text += " - ";
    text += part.part.kind == recipes::RowPartKind::open ? "?" : part.name;
  }
  return text;
}

std::string cards_text(const CardReport& report) {
  Columns table({"pin", "wire", "circuit", "state", "what is there, or the best recipe"});
  for (const CircuitCard& card : report.cards) {
    const char* state = card.forbidden ? "leave alone"
                        : card.open    ? "far end missing"
                        : card.guessed ? "guessed"
                                       : "complete";
    std::string what = card.rows.empty() ? std::string() : row_text(card.rows.front());
    if (card.open && !card.offers.empty())
      what = card.offers.front().recipe->id + ": " + card.offers.front().recipe->text;
    table.row({card.at, card.wire, card.name, state, what}, card.open ? Ink::strong : Ink::plain);
  }
  return table.empty() ? "The plan adds no circuit, and no wire lacks its far end.\n"
                       : table.print(wants_colour());
}

std::string recipes_text() {
  Columns table({"recipe", "for a pin of class", "what it is", "status"});
  for (const Recipe& recipe : all_recipes())
    table.row({recipe.id, std::string(name_of(recipe.pin_class)), recipe.text, recipe.status});
  return table.print(wants_colour());
}

Problem bad_take(const std::string& text) {
  return {Severity::error,
          "no-such-recipe",
          {},
          "\"" + text + "\" is not written as WIRE=RECIPE.",
          "List wires with `loomgraft circuits GRAFT` and recipes with --recipes."};
}

// Carries out --vehicle, --take and --take-all.
Graft taken(Graft graft, const CircuitsCall& call, Problems& problems) {
  if (!call.shape.empty()) {
    Completion done = with_places(graft, call.shape);
    problems.insert(problems.end(), done.problems.begin(), done.problems.end());
    graft = std::move(done.graft);
  }
  for (const std::string& text : call.take) {
    const std::size_t equals = text.find('=');
    if (equals == std::string::npos) {
      problems.push_back(bad_take(text));
      continue;
    }
    Completion done = complete_circuit(graft, {text.substr(0, equals), text.substr(equals + 1), {}});
    problems.insert(problems.end(), done.problems.begin(), done.problems.end());
    graft = std::move(done.graft);
  }
  if (!call.take_all) return graft;
  Completion done = complete_all(graft);
  problems.insert(problems.end(), done.problems.begin(), done.problems.end());
  return std::move(done.graft);
}

int run(const CircuitsCall& call) {
  if (call.list_recipes) {
    if (call.output.json)
      print_json(recipes_json());
    else
      print_text(recipes_text());
    return done;
  }
  Problems problems;
  auto graft = read_graft_file(call.graft, problems);
  if (!graft) {
    print_problems(problems);
    return unusable;
  }
  const Graft changed = taken(std::move(*graft), call, problems);
  if (!call.out.empty() && !write_file(call.out, write_graft(changed))) {
    print_problems({{Severity::error,
                     "not-written",
                     {call.out, 0, 0, ""},
                     "The file could not be written.",
                     "Check the folder, its permissions and the space left."}});
    return unusable;
  }
  CardReport report = circuit_cards(changed);
  report.problems.insert(report.problems.end(), problems.begin(), problems.end());
  if (call.output.json) {
    print_json(to_json(report));
  } else {
    print_text(cards_text(report));
    print_problems(report.problems);
  }
  if (has_error(report.problems)) return unusable;
  return std::ranges::any_of(report.cards, &CircuitCard::open) ? attention : done;
}

}  // namespace

void add_circuits(CLI::App& app, int& exit) {
  auto call = std::make_shared<CircuitsCall>();
  auto* command =
      app.add_subcommand("circuits", "each added circuit and each open wire, with what usually hangs on it");
  auto* graft = command->add_option("graft", call->graft, "graft document");
  command->add_option("--take", call->take, "complete a circuit: WIRE=RECIPE; may be repeated");
  command->add_flag("--take-all", call->take_all,
                    "complete every open wire with the recipe that suits it best");
  command->add_option("--vehicle", call->shape,
                      "add usual places and distances: van, car, pickup, lorry, tractor, ...");
  auto* list = command->add_flag("--recipes", call->list_recipes, "list the recipes");
  graft->excludes(list);
  command->add_option("-o,--into", call->out, "write the changed document here");
  add_output_options(*command, call->output, false);
  command->footer("Example: loomgraft circuits van.json --take new_C2_29=thermistor -o van.json");
  command->callback([call, &exit] {
    if (call->graft.empty() && !call->list_recipes) throw CLI::RequiredError("graft");
    exit = run(*call);
  });
}

}  // namespace loomgraft::cli
