// The comparison of the vehicle's module as found with a donor module: every circuit's verdict, what would
// burn if the donor were plugged in as is, the order of moves, and the questions to be answered before
// anyone relies on it.
//
// Model   engine.md: matching by function, verdicts, contention solved for every cavity where the two differ,
//         order of moves with the adapter lead as the alternative, tags that do not match, claims that
//         disagree
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

struct CircuitReport {
  Verdict verdict = Verdict::keep;
  std::string signal;
  std::optional<PinName> found;
  std::optional<PinName> donor;
  double confidence = 1.0;
  Contention hazard;             // with the donor plugged in and nothing moved
  std::optional<PinName> meets;  // the donor pin behind that hazard
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

struct CompareReport {
  std::string found;  // module names
  std::string donor;
  std::vector<CircuitReport> circuits;
  MovePlan moves;
  AdapterLead adapter;
  std::vector<Question> questions;
  std::vector<TagFinding> tags;
  Summary summary;
  Problems problems;
};

CompareReport compare_modules(const Graft& graft, const std::string& found, const std::string& donor,
                              const CompareOptions& options = {});

// Damage or fire somewhere, or more than half of the circuits unsure: do not go on from this report alone.
bool needs_attention(const CompareReport& report);

}  // namespace loomgraft
