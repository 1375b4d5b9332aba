// What the readings so far say of what is wrong, and the next measurement worth its minutes.
//
// Model   hypotheses: nothing wrong, each single fault, pairs of the likelier ones, and with each "one
// reading
//         was mistaken". A reading's likelihood is uniform over its interval with tails for a misread one.
//         What a test would tell is the expected loss of entropy over hypotheses grouped by repair.
// Needs   a proof: tests, faults with priors, and what every test shows under every fault
// Gives   odds that sum to one; the same odds for the readings in any order; next tests by bits a minute; a
//         word for each likely or excluded fault: which reading said so
// Fails   Problems for a reading of no known test or not a number; the others count
// Method  one-step expected entropy, as de Kleer and Williams, Artificial Intelligence 32 (1987) 97-130
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "loom/graft.h"
#include "prove/prove.h"
#include "text/problem.h"

namespace loomgraft {

// How often each kind of fault was found in recorded grafts.
struct FaultCounts {
  std::map<std::string, int> found;  // by name_of(FaultKind)
  int grafts = 0;
};

struct FindOptions {
  double settled_at = 0.9;  // odds of one repair at which to stop measuring
  double misread = 0.01;    // chance that a reading is mistaken
  bool pairs = true;
  std::optional<FaultCounts> learnt;  // none: the priors as they stand
  std::size_t next_tests = 5;
};

struct Hypothesis {
  std::vector<std::size_t> faults;  // none: nothing wrong
  std::string misread;              // id of the reading taken as mistaken, or empty
  double odds = 0.0;                // all together 1
};

struct RepairOdds {
  std::string repair;
  std::string words;
  double odds = 0.0;
  std::vector<std::size_t> faults;  // that it mends, likeliest first
};

struct NextTest {
  std::size_t test = 0;  // position in the report's tests
  double bits = 0.0;
  double minutes = 0.0;  // with the change of state from the last reading's
  std::string words;     // what each outcome would mean
};

struct FaultWord {
  std::size_t fault = 0;
  bool excluded = false;
  double odds = 0.0;
  std::string words;  // "out: C1 3 to body read 0.4 ohm; this fault would show over range"
};

struct FindReport {
  std::vector<Hypothesis> hypotheses;  // likeliest first, those above a thousandth
  std::vector<RepairOdds> repairs;     // likeliest first
  double all_well = 0.0;               // odds that nothing is wrong
  double entropy_bits = 0.0;           // over repairs
  std::vector<NextTest> next;          // best first; empty when settled or nothing tells more
  std::optional<std::size_t> settled;  // position in repairs
  std::vector<FaultWord> words;
  std::vector<std::string> learnt;  // what the recorded grafts changed, in words
  Problems problems;
};

FindReport find_fault(const Proof& proof, const std::vector<Reading>& readings,
                      const FindOptions& options = {});

}  // namespace loomgraft
