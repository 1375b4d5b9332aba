#include "compare/compare.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "compare/claim_sides_internal.h"
#include "compare/losses_internal.h"
#include "compare/questions_internal.h"
#include "loom/forbidden.h"

namespace loomgraft {

using namespace compare;
namespace {

class Comparison {
 public:
  Comparison(const Graft& graft, const Module& found, const Module& donor, const CompareOptions& options)
      : graft_(graft), found_(with_some_claim(found)), donor_(with_some_claim(donor)), options_(options) {
    const ForbiddenParts forbidden = forbidden_parts(graft);
    for (Module* module : {&found_, &donor_}) {
      for (Pin& pin : module->pins) pin.forbidden = forbidden.has(pin.at);
    }
    contention_.supply = graft.vehicle.supply;
  }

  CompareReport report() {
    KeyTable keys;
    const ModuleKey found_key = keys.key_of(found_, graft_.connectors);
    const ModuleKey donor_key = keys.key_of(donor_, graft_.connectors);
    matching_ = match(found_key, donor_key, keys.functions(), options_.match,
                      answers_between(graft_, found_, donor_));
    sides_.emplace(graft_, found_, donor_, keys, contention_);
    const GradeOf grade_of = [&](std::size_t f, std::size_t d, Circuits circuits) {
      return MeetingGrades{hazard(f, d, circuits).grade, sides_->chosen(f, d, circuits)};
    };
    const auto decisions =
        decide(found_key, donor_key, matching_, keys.functions(), options_.match, grade_of);
    for (const Decision& decision : decisions) report_circuit(decision);
    note_changes(decisions, found_key);
    order(decisions);
    ask_about_pairs_of_plugs();
    for (Problem& problem : check_circuit_answers(graft_)) report_.problems.push_back(std::move(problem));
    report_.found = found_.name;
    report_.donor = donor_.name;
    report_.tags = compare_tags(found_, donor_, graft_.vehicle, graft_.shared_circuits);
    std::stable_sort(report_.questions.begin(), report_.questions.end(),
                     [](const Question& a, const Question& b) { return a.weight > b.weight; });
    return std::move(report_);
  }

 private:
  void name_networks(const Pin& found, const Pin& meets, Contention& hazard) const {
    const std::string networks = fmt::format("The wire belongs to the network {}, the donor's pin to {}.",
                                             bus_network(found_, found), bus_network(donor_, meets));
    hazard.reason = hazard.grade == Grade::harmless ? networks : networks + " " + hazard.reason;
    hazard.grade = std::max(hazard.grade, Grade::false_signal);
  }

  const Contention& hazard(std::size_t f, std::size_t d, Circuits circuits) const {
    return sides_->worst(f, d, circuits, matching_.by_found[f].decided && circuits == Circuits::one);
  }

  const Connector* connector(const std::string& id) const { return find_connector(graft_, id); }

  PinName name_of(const Pin& pin) const {
    const Connector* plug = connector(pin.at.connector);
    return {plug ? plug->name : pin.at.connector, pin.at.cavity, pin.signal};
  }

  const Pin* pin_of(const Module& module, int position) const {
    return position < 0 ? nullptr : &module.pins[static_cast<std::size_t>(position)];
  }

  void report_circuit(const Decision& decision) {
    const Pin* found = pin_of(found_, decision.found);
    const Pin* donor = pin_of(donor_, decision.donor);
    const Pin* meets = pin_of(donor_, decision.meets);
    CircuitReport circuit;
    circuit.verdict = decision.verdict;
    for (const Pin* pin : {donor, found}) {
      if (pin) circuit.signal = pin->signal;  // the vehicle's wording goes first
    }
    if (found) circuit.found = name_of(*found);
    if (donor) circuit.donor = name_of(*donor);
    circuit.confidence = decision.confidence;
    circuit.decided = decision.decided;
    if (meets) {
      circuit.meets = name_of(*meets);
      circuit.hazard = hazard(static_cast<std::size_t>(decision.found),
                              static_cast<std::size_t>(decision.meets), decision.meets_as);
      if (decision.two_networks) name_networks(*found, *meets, circuit.hazard);
    }
    // Its own pin on the donor may be of another class even where its present cavity meets nothing.
    if (decision.verdict == Verdict::clash && donor && donor != meets) {
      Contention own = hazard(static_cast<std::size_t>(decision.found),
                              static_cast<std::size_t>(decision.donor), Circuits::one);
      if (own.grade > circuit.hazard.grade) circuit.hazard = std::move(own);
    }
    if (circuit.hazard.reason.empty())
      circuit.hazard.reason = "Its present cavity meets no pin of the donor.";
    explain(decision, found, donor, circuit);
    if (is_forbidden(decision)) judge_forbidden(found, donor, meets, circuit);
    report_.summary.count(decision.verdict);
    const bool cavity_unknown =
        found && !meets && decision.verdict != Verdict::keep && !donor_mentions(*found);
    ask_about_circuit({circuit, found, donor, graft_.sources, cavity_unknown}, contention_,
                      report_.questions);
    report_.circuits.push_back(std::move(circuit));
  }

  bool donor_mentions(const Pin& found) const {
    return std::any_of(donor_.pins.begin(), donor_.pins.end(), [&](const Pin& pin) {
      return canonical_cavity(pin.at.cavity) == canonical_cavity(found.at.cavity) &&
             plug_of_donor(pin) == found.at.connector;
    });
  }

  // The vehicle's plug that takes a donor pin, or an empty id where the vehicle has no such plug.
  std::string plug_of_donor(const Pin& pin) const {
    const auto place = std::find(donor_.connectors.begin(), donor_.connectors.end(), pin.at.connector);
    if (place == donor_.connectors.end()) return {};
    const std::uint16_t found =
        matching_.plugs.found_of[static_cast<std::size_t>(place - donor_.connectors.begin())];
    return found == no_plug ? std::string{} : found_.connectors[found];
  }

  void explain(const Decision& decision, const Pin* found, const Pin* donor, CircuitReport& circuit) const {
    if (found && donor) {
      const Match& match = matching_.by_found[static_cast<std::size_t>(decision.found)];
      if (decision.decided) {
        circuit.why.push_back("a person decided: these two are the same circuit");
      } else if (match.donor == decision.donor) {
        circuit.why.push_back(
            fmt::format("similarity {:.2f} of 1 (accepted from {:.2f}, uncertain from {:.2f})", match.score,
                        options_.match.accept, options_.match.ask));
        if (match.runner_up > 0)
          circuit.why.push_back(fmt::format("next best similarity {:.2f}", match.runner_up));
      } else {
        circuit.why.push_back(
            "same cavity and a similar name, but not similar enough to be taken for one circuit");
      }
      if (!found->term.empty() && found->term == donor->term)
        circuit.why.push_back("both are " + found->term);
      if (found->pin_class != donor->pin_class) {
        circuit.why.push_back(fmt::format("electrical classes differ: {} and {}",
                                          loomgraft::name_of(found->pin_class),
                                          loomgraft::name_of(donor->pin_class)));
      }
    } else if (found) {
      circuit.why.push_back("no donor pin has this function");
    } else {
      circuit.why.push_back("no wire of the loom has this function");
    }
    explain_different(decision, circuit);
    for (const Pin* pin : {found, donor}) {
      if (pin) circuit.why.insert(circuit.why.end(), pin->doubts.begin(), pin->doubts.end());
    }
  }

  void explain_different(const Decision& decision, CircuitReport& circuit) const {
    for (const PinPair& pair : matching_.apart) {
      const bool here = static_cast<int>(pair.found) == decision.found;
      if (!here && static_cast<int>(pair.donor) != decision.donor) continue;
      const PinName other = name_of(here ? donor_.pins[pair.donor] : found_.pins[pair.found]);
      circuit.why.push_back(fmt::format("a person decided: not the same circuit as \"{}\" at {}-{} of the {}",
                                        other.signal, other.connector, other.cavity,
                                        here ? "donor" : "vehicle"));
    }
  }

  bool stays(const Decision& decision) const {
    return decision.verdict == Verdict::keep || decision.verdict == Verdict::unsure || is_forbidden(decision);
  }

  // Known or presumed to be a restraint or high-voltage circuit, on either side.
  bool is_forbidden(const Decision& decision) const {
    const Pin* found = pin_of(found_, decision.found);
    const Pin* donor = pin_of(donor_, decision.donor);
    return (found && found->forbidden) || (donor && donor->forbidden);
  }

  // Whatever the figures say: a pin on such a wire may fire it, or carry its voltage on.
  void judge_forbidden(const Pin* found, const Pin* donor, const Pin* meets, CircuitReport& circuit) {
    const Pin* named = found && found->forbidden ? found : donor;
    circuit.why.push_back(
        "it is or may be a restraint or high-voltage circuit: nothing on it is moved, added or taken out");
    if (found == named && meets) {
      circuit.hazard.grade = std::max(circuit.hazard.grade, Grade::injury);
      circuit.hazard.reason =
          "This wire is or may be of a restraint system or of high voltage: a module pin on it may fire "
          "an airbag, or be met by a voltage that kills. " +
          circuit.hazard.reason;
    }
    report_.questions.push_back(
        {name_of(*named),
         "Does this belong to a restraint system (airbag, belt tensioner) or to high voltage?",
         "Find out from the maker's diagram, do not probe; then answer with your name. If it does, it is "
         "left alone.",
         3});
  }

  // What each verdict changes; unsure circuits wait for their answer and are not moved.
  void note_changes(const std::vector<Decision>& decisions, const ModuleKey& found_key) {
    for (std::size_t i = 0; i < decisions.size(); ++i) {
      const Decision& decision = decisions[i];
      const Pin* found = pin_of(found_, decision.found);
      const Pin* donor = pin_of(donor_, decision.donor);
      if (stays(decision)) continue;
      if (decision.verdict == Verdict::add) {
        report_.changes.push_back({PlanAction::add, i, {}, target_of(*donor)});
      } else if (decision.verdict == Verdict::shift) {
        report_.changes.push_back({PlanAction::move, i, found->at, target_of(*donor)});
      } else {
        report_.changes.push_back({PlanAction::retire, i, found->at, {}});
      }
    }
    drop_double_claims(decisions);
    for (const CircuitChange& change : report_.changes) {
      if (change.action != PlanAction::retire) continue;
      const auto f = static_cast<std::size_t>(decisions[change.circuit].found);
      if (!is_carried(decisions, found_key, f))
        report_.circuits[change.circuit].loss = loss_of(found_.pins[f]);
    }
  }

  // Another wire of the same function stays or moves.
  static bool is_carried(const std::vector<Decision>& decisions, const ModuleKey& found_key, std::size_t f) {
    return std::ranges::any_of(decisions, [&](const Decision& decision) {
      if (decision.verdict != Verdict::keep && decision.verdict != Verdict::shift) return false;
      return found_key.pins[static_cast<std::size_t>(decision.found)].function == found_key.pins[f].function;
    });
  }

  // The steps to be done by hand.
  void order(const std::vector<Decision>& decisions) {
    MoveRequest request;
    for (const Decision& decision : decisions) {
      const Pin* found = pin_of(found_, decision.found);
      if (stays(decision) && found && found->populated.value_or(true)) request.kept.push_back(found->at);
    }
    int kept = static_cast<int>(request.kept.size());
    for (const CircuitChange& change : report_.changes) {
      const CircuitReport& circuit = report_.circuits[change.circuit];
      const std::string& signal = circuit.signal;
      if (change.action == PlanAction::add) {
        request.additions.push_back({change.to, circuit.donor->signal});
      } else if (change.action == PlanAction::retire) {
        request.retirements.push_back({change.from, signal, circuit.loss ? circuit.loss->reason : ""});
      } else if (change.from == change.to) {
        request.kept.push_back(change.from);
        ++kept;
      } else {
        request.shifts.push_back({change.from, change.to, signal});
      }
    }
    for (const Connector& plug : graft_.connectors) {
      if (plug.sealed) request.sealed_connectors.push_back(plug.id);
      if (!plug.name.empty()) request.connector_names.emplace(plug.id, plug.name);
    }
    report_.adapter = adapter_lead(request, kept);
    plan_moves(request);
  }

  // A donor pin's cavity in the vehicle's plug, or in the donor's own where the vehicle has no such plug.
  CavityRef target_of(const Pin& donor) const {
    const std::string plug = plug_of_donor(donor);
    return {plug.empty() ? donor.at.connector : plug, donor.at.cavity};
  }

  void plan_moves(const MoveRequest& request) {
    auto plan = order_moves(request);
    if (!plan) {
      report_.problems.push_back(plan.error());
      return;
    }
    report_.moves = std::move(*plan);
    for (MoveStep& step : report_.moves.steps) {
      for (CavityRef* end : {&step.from, &step.to}) {
        if (const Connector* plug = connector(end->connector)) end->connector = plug->name;
      }
    }
  }

  // Tables that give one cavity two functions would ask for two terminals in one cavity; the first stands,
  // the other is named.
  void drop_double_claims(const std::vector<Decision>& decisions) {
    std::map<CavityRef, std::string> leaving, arriving;
    for (const Decision& decision : decisions) {
      const Pin* found = pin_of(found_, decision.found);
      if (stays(decision) && found && found->populated.value_or(true))
        arriving.emplace(found->at, "a circuit that stays");
    }
    for (const PlanAction action : {PlanAction::move, PlanAction::retire, PlanAction::add}) {
      std::erase_if(report_.changes, [&](const CircuitChange& change) {
        if (change.action != action) return false;
        const std::string& signal = report_.circuits[change.circuit].signal;
        const bool leaves = action == PlanAction::add || is_first(leaving, change.from, signal);
        return !leaves || !(action == PlanAction::retire || is_first(arriving, change.to, signal));
      });
    }
  }

  bool is_first(std::map<CavityRef, std::string>& taken, const CavityRef& at, const std::string& signal) {
    const auto [place, is_new] = taken.emplace(at, signal);
    if (is_new) return true;
    report_.problems.push_back(
        {Severity::warning,
         "cavity-claimed-twice",
         {},
         fmt::format("Cavity {} is claimed by \"{}\" and by \"{}\"; the moves follow the first.", at.cavity,
                     place->second, signal),
         "Find out which of the two is true for this vehicle and remove the other row."});
    return false;
  }

  void ask_about_pairs_of_plugs() {
    for (std::size_t d = 0; d < donor_.connectors.size(); ++d) {
      const std::uint16_t f = matching_.plugs.found_of[d];
      const Connector* donor_plug = connector(donor_.connectors[d]);
      const Connector* found_plug = f == no_plug ? nullptr : connector(found_.connectors[f]);
      if (donor_plug && found_plug) {
        ask_about_plugs(*found_plug, *donor_plug, found_, donor_, matching_.plugs.guessed, report_.questions);
      }
    }
  }

  const Graft& graft_;
  Module found_;
  Module donor_;
  const CompareOptions& options_;
  ContentionOptions contention_;
  std::optional<ClaimSides> sides_;
  Matching matching_;
  CompareReport report_;
};

Problem no_module(const std::string& id) {
  return {Severity::error,
          "no-such-module",
          {},
          "There is no module \"" + id + "\" in this graft.",
          "Name one of the modules of the document."};
}

}  // namespace

CompareReport compare_modules(const Graft& graft, const std::string& found, const std::string& donor,
                              const CompareOptions& options) {
  CompareReport empty;
  const Module* found_module = find_module(graft, found);
  const Module* donor_module = find_module(graft, donor);
  if (!found_module) empty.problems.push_back(no_module(found));
  if (!donor_module) empty.problems.push_back(no_module(donor));
  for (const Module* module : {found_module, donor_module}) {
    if (module && module->pins.empty()) {
      empty.problems.push_back({Severity::error,
                                "no-pins",
                                {},
                                "Module \"" + module->name + "\" has no pins.",
                                "Give it a pin table first."});
    }
  }
  if (!found_module || !donor_module || !empty.problems.empty()) return empty;
  return Comparison(graft, *found_module, *donor_module, options).report();
}

bool needs_attention(const CompareReport& report) {
  const bool harm = std::any_of(report.circuits.begin(), report.circuits.end(),
                                [](const CircuitReport& c) { return c.hazard.grade >= Grade::damage; });
  const bool lost = std::ranges::any_of(
      report.circuits, [](const CircuitReport& c) { return c.loss && c.loss->grade >= Grade::damage; });
  return harm || lost || 2 * static_cast<std::size_t>(report.summary.unsure) > report.circuits.size();
}

}  // namespace loomgraft
