// Looking for a planted fault, measurement by measurement, until one repair is isolated or no test is informative.
#pragma once

#include <algorithm>
#include <functional>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "find/find.h"

namespace loomgraft::samples {

struct Walk {
  std::size_t measurements = 0;
  double minutes = 0.0;
  bool isolated = false;
  bool right = false;    // isolated the repair of the planted fault
  std::size_t left = 0;  // repairs that are at least half as likely as the likeliest at the end
  bool among = false;    // the repair of what was planted is at least a tenth as likely as the likeliest
  std::size_t informative = 0;  // measurements of new tests
  double promised = 0.0;        // bits of the new tests taken, as they were proposed
  double delivered = 0.0;       // entropy before less entropy after each
};

// What the meter shows of a test.
using Meter = std::function<double(std::size_t test)>;
// The next test to take; none ends the search.
using Choice = std::function<std::optional<std::size_t>(const FindReport&, const std::vector<bool>& taken)>;

inline Reading as_reading(const Proof& proof, std::size_t test, double value, std::size_t number) {
  Reading reading;
  reading.id = "reading " + std::to_string(number);
  reading.test = proof.report.tests[test].id;
  reading.unit = proof.report.tests[test].unit;
  reading.value = value;
  return reading;
}

inline std::optional<std::size_t> best_next(const FindReport& report, const std::vector<bool>&) {
  if (report.next.empty()) return std::nullopt;
  return report.next.front().test;
}

inline void note_left(const Proof& proof, std::size_t planted, const FindReport& report, Walk& made) {
  made.left = 0;
  made.among = false;
  for (const RepairOdds& repair : report.repairs) {
    if (repair.odds < 0.1 * report.repairs.front().odds) break;
    if (repair.odds >= 0.5 * report.repairs.front().odds) ++made.left;
    made.among = made.among || repair.repair == proof.report.faults[planted].repair;
  }
}

inline Walk walk(const Proof& proof, std::size_t planted, std::vector<Reading> readings, const Meter& meter,
                 const Choice& choose, const FindOptions& options, std::size_t most = 400,
                 std::optional<std::size_t> condition = std::nullopt) {
  Walk made;
  std::vector<bool> taken(proof.report.tests.size());
  std::optional<double> entropy;
  while (true) {
    const FindReport report = find_fault(proof, readings, options);
    if (entropy) made.delivered += *entropy - report.entropy_bits;
    entropy.reset();
    note_left(proof, planted, report, made);
    if (report.isolated) {
      made.isolated = true;
      made.right = report.repairs[*report.isolated].repair == proof.report.faults[planted].repair;
      return made;
    }
    const auto next = choose(report, taken);
    if (!next || made.measurements == most) return made;
    const ProveTest& test = proof.report.tests[*next];
    // A repeat decides whether a reading was a misreading; its bits are of another kind.
    if (!report.next.empty() && report.next.front().test == *next &&
        report.next.front().reason == NextReason::information) {
      made.promised += report.next.front().bits;
      entropy = report.entropy_bits;
      ++made.informative;
    }
    made.minutes +=
        test.minutes + (condition == test.condition ? 0.0 : proof.report.conditions[test.condition].minutes);
    condition = test.condition;
    taken[*next] = true;
    readings.push_back(as_reading(proof, *next, meter(*next), ++made.measurements));
  }
}

}  // namespace loomgraft::samples
