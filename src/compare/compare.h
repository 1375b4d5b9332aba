// The comparison of the vehicle's module as found with a donor module: every circuit's verdict, what would
// burn if the donor were plugged in as is, the order of moves, and the questions to be answered before
// anyone relies on it.
//
// Model   engine.md: matching by function, verdicts, contention solved for every cavity where the two differ,
//         order of moves with the adapter lead as the alternative, tags that do not match, claims that
//         disagree. Where sources disagree about a pin, the hazard is the worst over what any of them claims,
//         whatever their order; a claim that was proved on the vehicle stands alone.
// Needs   both modules in one graft, with their connectors
// Gives   a report; the same for the same document, byte for byte
// Fails   "no-such-module", "no-pins": an error Problem and an empty report
// Cost    the matching's; under 10 ms for 2 x 250 pins
#pragma once

#include <string>
#include <vector>

#include "compare/match.h"
#include "compare/moves.h"
#include "compare/settle.h"
#include "compare/tags.h"
#include "compare/verdict.h"
#include "contention/contention.h"
#include "loom/graft.h"

namespace loomgraft {

struct CompareOptions {
  MatchOptions match;
};

// A pin as a person names it: the connector's name, not its id.
struct PinName {
  std::string connector;
  std::string cavity;
  std::string signal;
  bool operator==(const PinName&) const = default;
};

// A function of the vehicle that stops with the wire that carries it.
struct Loss {
  Grade grade = Grade::harmless;             // false_signal at least
  std::string reason;                        // one sentence for people
  const Consequence* consequence = nullptr;  // nullptr where nothing is known of that function
};

struct CircuitReport {
  Verdict verdict = Verdict::keep;
  std::string signal;
  std::optional<PinName> found;
  std::optional<PinName> donor;
  double confidence = 1.0;
  Contention hazard;             // with the donor plugged in and nothing moved
  std::optional<PinName> meets;  // the donor pin behind that hazard
  std::optional<Loss> loss;      // where its wire is taken out and nothing else carries the function
  std::vector<std::string> why;  // reasons for the verdict and its limits
  bool decided = false;          // a person stated that the two are one circuit
};

// Something a person must look at, measure or decide.
struct Question {
  PinName about;
  std::string text;
  std::string answer_by;  // how to answer it: an inspection, a measurement with its bands, a decision
  int weight = 0;         // its importance, larger first: 3 fire or damage, 2 a verdict, 1 a detail
  std::optional<PinName> other{};  // the donor's pin, where it is asked whether the two are one circuit
  std::optional<SettleMeasurement> measure{};  // the measurement of answer_by, claim by claim
};

// One change of the loom that a verdict asks for. The moves and the plan both come from these. A circuit that
// clashes leaves its cavity, whether or not the donor has a pin for it.
struct CircuitChange {
  PlanAction action = PlanAction::move;
  std::size_t circuit = 0;  // position in CompareReport::circuits
  CavityRef from;           // in the vehicle's plugs, by id; empty for an addition
  CavityRef to;             // empty for a retirement; in the donor's own plug where the vehicle has none
};

struct CompareReport {
  std::string found;  // module names
  std::string donor;
  std::vector<CircuitReport> circuits;
  std::vector<CircuitChange> changes;  // in the order of the circuits
  MovePlan moves;
  AdapterLead adapter;
  std::vector<Question> questions;
  std::vector<TagFinding> tags;
  Summary summary;
  Problems problems;
};

CompareReport compare_modules(const Graft& graft, const std::string& found, const std::string& donor,
                              const CompareOptions& options = {});

// Damage, injury or fire somewhere, by contact or by a function that is lost, or more than half of the circuits unsure: do not go on from this report alone.
bool needs_attention(const CompareReport& report);

}  // namespace loomgraft
