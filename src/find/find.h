// The odds of every possible fault after the readings so far, and the most informative next measurement.
//
// Model   hypotheses: no fault, each single fault, pairs of the likelier ones; each reading may be a misreading.
//         A reading has the weight one if a hypothesis's interval contains it and almost none if not: it only
//         says whether it is possible, so a reading within every interval changes nothing. Gross misreadings
//         and small ones have probabilities of their own. The information of a test is the expected loss of
//         entropy over hypotheses grouped by repair, each reading drawn from the interval of its hypothesis.
// Needs   a proof: tests, faults with priors, and what every test shows under every fault. Of several
//         readings of one test (by time, then by position in the list) the latest two that agree count, and
//         all that agree with them confirm them; while no two agree, or the last one contradicts them, each
//         counts by itself and the test is proposed again. The unit "unreached" excludes the test.
// Gives   odds that sum to one; the same odds, bit for bit, for the readings of different tests in any order;
//         "nothing is wrong" never ahead while a reading clearly out of band stands; next tests by bits per minute, none with power on while harm is likely and a dead test is informative; a note for each
//         likely or excluded fault with the reading that decides
// Fails   Problems for a reading of an unknown test or not a number; the others count. not-explained: every
//         hypothesis contradicts some reading. Only the problem `stopped` if options.stop asked for it
// Cost    docs/find.md
// Method  one-step expected entropy, as de Kleer and Williams, Artificial Intelligence 32 (1987) 97-130
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/problem.h"
#include "base/stop.h"
#include "find/figures.h"
#include "find/learn.h"
#include "loom/graft.h"
#include "prove/prove.h"

namespace loomgraft {

// Something that a person noticed: how likely it is to be noticed on a sound loom, and under each fault.
struct Evidence {
  std::string id;
  std::string text;
  double sound = 0.0;          // above zero
  std::vector<double> faults;  // by fault, each above zero
};

struct FindOptions {
  double isolated_at = find::find_figures().isolated_at;      // odds of one repair at which to stop measuring
  double misread = find::find_figures().gross_misread;        // probability of a gross misreading
  double small_misread = find::find_figures().small_misread;  // of a digit, or a touch that adds ohms
  bool pairs = true;
  double worth = find::find_figures().worth;  // bits a test must give, per odds of the likeliest fault
  std::vector<Evidence> evidence{};
  std::optional<FaultCounts> learnt;  // none: the priors as they stand
  std::size_t next_tests = 5;         // none are looked for where zero
  bool notes = true;
  StopToken stop{};
};

struct Hypothesis {
  std::vector<std::size_t> faults;  // none: no fault
  std::string misread;              // ids of the readings taken as misreadings, joined by " + "
  double odds = 0.0;                // all together 1
};

struct RepairOdds {
  std::string repair;
  std::string text;
  double odds = 0.0;                // that it is needed, alone or beside another
  std::vector<std::size_t> faults;  // that it repairs, likeliest first
};

// Why a test is proposed: for what it tells, or again because its readings differ or because one reading decides.
enum class NextReason { information, readings_differ, repeat };
const char* name_of(NextReason reason);

struct NextTest {
  std::size_t test = 0;  // position in the report's tests
  double bits = 0.0;
  double minutes = 0.0;  // with the change of condition since the last reading, and places to open
  std::string text;      // what each outcome would mean
  NextReason reason = NextReason::information;
};

struct FaultNote {
  std::size_t fault = 0;
  bool excluded = false;
  double odds = 0.0;
  std::string text;  // "out: C1 3 to body read 0.4 Ω; this fault would show over range"
};

// A test whose readings contradict each other, and which of them counts.
struct DifferingReadings {
  std::size_t test = 0;
  std::vector<double> values;   // in the order in which they were taken
  std::optional<double> taken;  // the latest two that agree; none: undecided, measure it once more
  bool unsteady = false;        // measured so often that the contact itself comes and goes
};

struct NoticedSymptom {
  std::string id;
  std::string text;
};

struct FindReport {
  std::vector<Hypothesis> hypotheses;   // likeliest first, those above a thousandth
  std::vector<RepairOdds> repairs;      // likeliest first
  double no_fault = 0.0;                // odds that there is no fault
  double entropy_bits = 0.0;            // over repairs
  std::vector<NextTest> next;           // best first; empty if isolated or no test is informative
  std::optional<std::size_t> isolated;  // position in repairs
  std::vector<FaultNote> fault_notes;
  std::vector<DifferingReadings> differing;
  std::vector<NoticedSymptom> symptoms;
  std::vector<std::string> learnt;  // what the recorded grafts changed, as sentences
  Problems problems;
};

FindReport find_fault(const Proof& proof, const std::vector<Reading>& readings,
                      const FindOptions& options = {});

}  // namespace loomgraft
