#include <map>
#include <optional>
#include <set>

#include "compare/moves.h"

namespace loomgraft {
namespace {

// A terminal is identified by the cavity it was found in; a new one by an empty origin and the cavity it is
// meant for.
struct Terminal {
  CavityRef origin;
  CavityRef meant_for;
  auto operator<=>(const Terminal&) const = default;
};

std::string text_of(const CavityRef& at) {
  return at.connector + " cavity " + at.cavity;
}

class SimulatedLoom {
 public:
  explicit SimulatedLoom(const MoveRequest& request) {
    sealed_.insert(request.sealed_connectors.begin(), request.sealed_connectors.end());
    for (const CavityRef& at : request.kept) occupied_[at] = wanted_[at] = {at, {}};
    for (const Loose& loose : request.retirements) occupied_[loose.at] = {loose.at, {}};
    for (const Shift& shift : request.shifts) {
      occupied_[shift.from] = {shift.from, {}};
      wanted_[shift.to] = {shift.from, {}};
    }
    for (const Loose& loose : request.additions) wanted_[loose.at] = {{}, loose.at};
    for (const auto& [at, terminal] : wanted_) {
      if (is_sealed(at) && !occupied_.contains(at)) plugs_.insert(at);
    }
  }

  void carry_out(const MoveStep& step) {
    if (uninsulated_) report("Before this step a loose terminal was not insulated.");
    uninsulated_ = false;
    switch (step.action) {
      case MoveAction::retire:
        take(step.from);
        uninsulated_ = !step.insulate || step.note.empty();
        break;
      case MoveAction::park:
        if (parked_) report("A second terminal is parked while the first still is.");
        parked_ = take(step.from);
        uninsulated_ = !step.insulate || step.note.empty();
        break;
      case MoveAction::move:
        put(step.to, take(step.from));
        break;
      case MoveAction::insert_parked:
        if (!parked_) report("No terminal is parked.");
        put(step.to, parked_);
        parked_.reset();
        break;
      case MoveAction::add:
        put(step.to, Terminal{{}, step.to});
        break;
      case MoveAction::plug_cavity:
        if (occupied_.contains(step.to))
          report("A plug is pushed into " + text_of(step.to) + ", which is in use.");
        if (!plugs_.insert(step.to).second) report(text_of(step.to) + " has a plug already.");
        break;
      case MoveAction::unplug_cavity:
        if (plugs_.erase(step.from) == 0) report(text_of(step.from) + " has no plug to take out.");
        break;
    }
    ++at_step_;
  }

  Problems finish() {
    if (uninsulated_) report("At the end a loose terminal is not insulated.");
    if (parked_) report("At the end a terminal is still parked.");
    for (const auto& [at, terminal] : wanted_) {
      const auto found = occupied_.find(at);
      if (found == occupied_.end()) report(text_of(at) + " ends empty and should not.");
      if (found != occupied_.end() && found->second != terminal)
        report(text_of(at) + " ends with another terminal.");
    }
    for (const auto& [at, terminal] : occupied_) {
      if (!wanted_.contains(at)) report(text_of(at) + " ends with a terminal and should be empty.");
    }
    for (const CavityRef& at : opened_) {
      if (is_sealed(at) && !occupied_.contains(at) && !plugs_.contains(at)) {
        report("The sealed cavity " + text_of(at) + " ends open.");
      }
    }
    return std::move(problems_);
  }

 private:
  bool is_sealed(const CavityRef& at) const { return sealed_.contains(at.connector); }

  void report(std::string message) {
    Problem problem;
    problem.severity = Severity::error;
    problem.code = "move-replay";
    problem.location.pointer = "/steps/" + std::to_string(at_step_);
    problem.message = std::move(message);
    problem.remedy = "Do not carry out this plan.";
    problems_.push_back(std::move(problem));
  }

  std::optional<Terminal> take(const CavityRef& from) {
    const auto found = occupied_.find(from);
    if (found == occupied_.end()) {
      report("Nothing is in " + text_of(from) + " to take out.");
      return std::nullopt;
    }
    const Terminal terminal = found->second;
    occupied_.erase(found);
    opened_.insert(from);
    return terminal;
  }

  void put(const CavityRef& to, const std::optional<Terminal>& terminal) {
    if (plugs_.contains(to)) report(text_of(to) + " still has its plug.");
    if (!terminal) return;
    if (!occupied_.emplace(to, *terminal).second) report("Two terminals meet in " + text_of(to) + ".");
  }

  std::map<CavityRef, Terminal> occupied_;
  std::map<CavityRef, Terminal> wanted_;
  std::set<CavityRef> plugs_;
  std::set<CavityRef> opened_;
  std::set<std::string> sealed_;
  std::optional<Terminal> parked_;
  bool uninsulated_ = false;
  int at_step_ = 0;
  Problems problems_;
};

}  // namespace

Problems replay(const MoveRequest& request, const MovePlan& plan) {
  SimulatedLoom loom(request);
  for (const MoveStep& step : plan.steps) loom.carry_out(step);
  return loom.finish();
}

}  // namespace loomgraft
