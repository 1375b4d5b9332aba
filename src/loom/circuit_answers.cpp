#include "loom/circuit_answers.h"

#include <algorithm>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <tuple>

namespace loomgraft {
namespace {

struct PinPosition {
  std::size_t module = 0;
  std::size_t pin = 0;
  auto operator<=>(const PinPosition&) const = default;
};

// Of two pins in one cavity the first counts.
std::map<CavityRef, PinPosition> pins_by_cavity(const Graft& graft) {
  std::map<CavityRef, PinPosition> pins_at;
  for (std::size_t m = 0; m < graft.modules.size(); ++m) {
    const std::vector<Pin>& pins = graft.modules[m].pins;
    for (std::size_t p = 0; p < pins.size(); ++p) pins_at.emplace(pins[p].at, PinPosition{m, p});
  }
  return pins_at;
}

// Accepts the answers one after the other; an answer that contradicts an earlier one is a problem.
class AnswerCheck {
 public:
  explicit AnswerCheck(const Graft& graft) : pins_(pins_by_cavity(graft)) {
    for (std::size_t i = 0; i < graft.circuit_answers.size(); ++i) take(graft.circuit_answers[i], i);
  }

  struct Accepted {
    PinPosition found;
    PinPosition donor;
    bool different = false;
  };
  std::vector<Accepted> accepted;
  Problems problems;

 private:
  void refuse(ProblemCode code, std::size_t index, const char* member, std::string message,
              std::string remedy) {
    problems.push_back({Severity::error,
                        code,
                        {"", 0, 0, "/circuit_answers/" + std::to_string(index) + member},
                        std::move(message),
                        std::move(remedy)});
  }

  std::optional<PinPosition> pin_at(const CavityRef& at, std::size_t index, const char* member) {
    const auto found = pins_.find(at);
    if (found != pins_.end()) return found->second;
    refuse("no-such-pin", index, member,
           "No module has a pin in cavity \"" + at.cavity + "\" of connector \"" + at.connector + "\".",
           "Name a pin of a module, or take this answer out.");
    return std::nullopt;
  }

  void take(const CircuitAnswer& answer, std::size_t index) {
    const auto found = pin_at(answer.found, index, "/found");
    const auto donor = pin_at(answer.donor, index, "/donor");
    if (!found || !donor) return;
    if (found->module == donor->module)
      return refuse("one-module", index, "/donor", "Both pins are of one module.",
                    "Name a pin of the vehicle's module and one of the donor's.");
    if (!answered_.emplace(*found, *donor).second)
      return refuse("circuit-answered-twice", index, "", "These two pins have an answer already.",
                    "Take one of the two out.");
    if (!answer.different) {
      // Both are checked before either counts as paired.
      const bool first = paired_.contains({*found, donor->module});
      const bool second = paired_.contains({*donor, found->module});
      if (first || second)
        return refuse("circuit-paired-twice", index, first ? "/found" : "/donor",
                      "This pin is the same circuit as another pin of that module already.",
                      "Take one of the two answers out.");
      paired_.emplace(*found, donor->module);
      paired_.emplace(*donor, found->module);
    }
    accepted.push_back({*found, *donor, answer.different});
  }

  std::map<CavityRef, PinPosition> pins_;
  std::set<std::pair<PinPosition, PinPosition>> answered_;
  std::set<std::pair<PinPosition, std::size_t>> paired_;  // a pin, and the module in which it has its circuit
};

}  // namespace

PairAnswers answers_between(const Graft& graft, const Module& found, const Module& donor) {
  PairAnswers answers;
  if (graft.circuit_answers.empty()) return answers;
  for (const AnswerCheck::Accepted& one : AnswerCheck(graft).accepted) {
    if (graft.modules[one.found.module].id != found.id || graft.modules[one.donor.module].id != donor.id)
      continue;
    (one.different ? answers.different : answers.same).push_back({one.found.pin, one.donor.pin});
  }
  return answers;
}

Problems check_circuit_answers(const Graft& graft) {
  if (graft.circuit_answers.empty()) return {};
  return AnswerCheck(graft).problems;
}

}  // namespace loomgraft
