#include "loom/circuit_answers.h"

#include <algorithm>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <tuple>

namespace loomgraft {
namespace {

struct PinSpot {
  std::size_t module = 0;
  std::size_t pin = 0;
  auto operator<=>(const PinSpot&) const = default;
};

// Of two pins in one cavity the first counts.
std::map<CavityRef, PinSpot> spots_of(const Graft& graft) {
  std::map<CavityRef, PinSpot> spots;
  for (std::size_t m = 0; m < graft.modules.size(); ++m) {
    const std::vector<Pin>& pins = graft.modules[m].pins;
    for (std::size_t p = 0; p < pins.size(); ++p) spots.emplace(pins[p].at, PinSpot{m, p});
  }
  return spots;
}

// Takes one answer after the other, and says what is wrong with those that cannot hold.
class Intake {
 public:
  explicit Intake(const Graft& graft) : spots_(spots_of(graft)) {
    for (std::size_t i = 0; i < graft.circuit_answers.size(); ++i) take(graft.circuit_answers[i], i);
  }

  struct Taken {
    PinSpot found;
    PinSpot donor;
    bool different = false;
  };
  std::vector<Taken> taken;
  Problems problems;

 private:
  void refuse(const char* code, std::size_t index, const char* member, std::string message,
              std::string remedy) {
    problems.push_back({Severity::error,
                        code,
                        {"", 0, 0, "/circuit_answers/" + std::to_string(index) + member},
                        std::move(message),
                        std::move(remedy)});
  }

  std::optional<PinSpot> spot(const CavityRef& at, std::size_t index, const char* member) {
    const auto found = spots_.find(at);
    if (found != spots_.end()) return found->second;
    refuse("no-such-pin", index, member,
           "No module has a pin in cavity \"" + at.cavity + "\" of connector \"" + at.connector + "\".",
           "Name a pin of a module, or take this answer out.");
    return std::nullopt;
  }

  void take(const CircuitAnswer& answer, std::size_t index) {
    const auto found = spot(answer.found, index, "/found");
    const auto donor = spot(answer.donor, index, "/donor");
    if (!found || !donor) return;
    if (found->module == donor->module)
      return refuse("one-module", index, "/donor", "Both pins are of one module.",
                    "Name a pin of the vehicle's module and one of the donor's.");
    if (!answered_.emplace(*found, *donor).second)
      return refuse("circuit-answered-twice", index, "", "These two pins have an answer already.",
                    "Take one of the two out.");
    if (!answer.different) {
      // Both are looked at before either counts as paired.
      const bool first = paired_.contains({*found, donor->module});
      const bool second = paired_.contains({*donor, found->module});
      if (first || second)
        return refuse("circuit-paired-twice", index, first ? "/found" : "/donor",
                      "This pin is the same circuit as another pin of that module already.",
                      "Take one of the two answers out.");
      paired_.emplace(*found, donor->module);
      paired_.emplace(*donor, found->module);
    }
    taken.push_back({*found, *donor, answer.different});
  }

  std::map<CavityRef, PinSpot> spots_;
  std::set<std::pair<PinSpot, PinSpot>> answered_;
  std::set<std::pair<PinSpot, std::size_t>> paired_;  // a pin, and the module in which it has its circuit
};

}  // namespace

PairAnswers answers_between(const Graft& graft, const Module& found, const Module& donor) {
  PairAnswers answers;
  if (graft.circuit_answers.empty()) return answers;
  for (const Intake::Taken& one : Intake(graft).taken) {
    if (graft.modules[one.found.module].id != found.id || graft.modules[one.donor.module].id != donor.id)
      continue;
    (one.different ? answers.different : answers.same).push_back({one.found.pin, one.donor.pin});
  }
  return answers;
}

Problems check_circuit_answers(const Graft& graft) {
  if (graft.circuit_answers.empty()) return {};
  return Intake(graft).problems;
}

}  // namespace loomgraft
