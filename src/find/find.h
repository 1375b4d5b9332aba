// What the readings so far say of what is wrong, and the next measurement worth its minutes.
//
// Model   suspicions: nothing wrong, each single fault, pairs of the likelier ones; each reading may have
//         been mistaken. A reading weighs one where a suspicion's interval holds it and next to nothing where
//         not: it says no more than whether it can be, so one within every interval changes nothing. What a
//         test would tell is the expected loss of entropy over suspicions grouped by repair.
// Needs   a proof: tests, faults with priors, and what every test shows under every fault. Of several
//         readings of one test the latest counts (by time, then by place in the list); earlier ones that
//         agree confirm it. The unit "unreached" takes the test out.
// Gives   odds that sum to one; the same odds, bit for bit, for the readings in any order; next tests by bits
//         a minute, no live ones while harm is likely and a dead one tells; a word for each likely or
//         excluded fault: which reading said so
// Fails   Problems for a reading of no known test or not a number; the others count. not-explained: whatever
//         is suspected contradicts some reading. `stopped` and nothing else where options.stop asked for it
// Cost    docs/find.md
// Method  one-step expected entropy, as de Kleer and Williams, Artificial Intelligence 32 (1987) 97-130
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loom/graft.h"
#include "find/learn.h"
#include "prove/prove.h"
#include "base/problem.h"

namespace loomgraft {

struct FindOptions {
  double settled_at = 0.9;  // odds of one repair at which to stop measuring
  double misread = 0.01;    // chance that a reading is mistaken
  bool pairs = true;
  double worth = 0.1;  // bits a test must tell for each unit of odds of the likeliest mistake to be proposed
  std::optional<FaultCounts> learnt;  // none: the priors as they stand
  std::size_t next_tests = 5;         // none are looked for where zero
  bool notes = true;
  std::stop_token stop{};
};

struct Hypothesis {
  std::vector<std::size_t> faults;  // none: nothing wrong
  std::string misread;              // ids of the readings taken as mistaken, joined by " + "
  double odds = 0.0;                // all together 1
};

struct RepairOdds {
  std::string repair;
  std::string text;
  double odds = 0.0;                // that it is needed, alone or beside another
  std::vector<std::size_t> faults;  // that it mends, likeliest first
};

struct NextTest {
  std::size_t test = 0;  // position in the report's tests
  double bits = 0.0;
  double minutes = 0.0;  // with the change of state from the last reading's, and places to open
  std::string text;     // what each outcome would mean
};

struct FaultNote {
  std::size_t fault = 0;
  bool excluded = false;
  double odds = 0.0;
  std::string text;  // "out: C1 3 to body read 0.4 ohm; this fault would show over range"
};

struct FindReport {
  std::vector<Hypothesis> hypotheses;  // likeliest first, those above a thousandth
  std::vector<RepairOdds> repairs;     // likeliest first
  double no_fault = 0.0;               // odds that nothing is wrong
  double entropy_bits = 0.0;           // over repairs
  std::vector<NextTest> next;          // best first; empty when settled or nothing tells more
  std::optional<std::size_t> isolated;  // position in repairs
  std::vector<FaultNote> fault_notes;
  std::vector<std::string> learnt;  // what the recorded grafts changed, in words
  Problems problems;
};

FindReport find_fault(const Proof& proof, const std::vector<Reading>& readings,
                      const FindOptions& options = {});

}  // namespace loomgraft
