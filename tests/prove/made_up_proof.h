// Proofs made by hand: faults, tests and what each test shows under each fault, without a loom.
#pragma once

#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "prove/prove.h"

namespace loomgraft::samples {

inline constexpr Band sound{0.0, 0.0};
inline constexpr Band faulty{1.0, 1.0};

struct MadeUpProof {
  Proof proof;
  std::vector<std::vector<Band>> rows;

  MadeUpProof() { add_condition("dead", 0.0, false); }

  void add_condition(const std::string& id, double minutes, bool live) {
    ProveCondition condition;
    condition.id = condition.text = id;
    condition.minutes = minutes;
    condition.live = live;
    proof.report.conditions.push_back(condition);
  }

  std::size_t add_fault(const std::string& id, double prior, FaultKind kind = FaultKind::wire_open) {
    Fault fault;
    fault.id = fault.text = id;
    fault.kind = kind;
    fault.repair = "mend " + id;
    fault.repair_text = "mend " + id;
    fault.prior = prior;
    proof.report.faults.push_back(fault);
    return proof.report.faults.size() - 1;
  }

  std::size_t add_test(const std::string& id, Band healthy, std::vector<Band> under, double minutes = 1.0,
                       std::size_t condition = 0, const std::string& unit = "V") {
    ProveTest test;
    test.id = test.text = id;
    test.kind = unit == "ohm" ? TestKind::resistance : TestKind::volts;
    test.condition = condition;
    test.unit = unit;
    test.band = healthy;
    test.nominal = std::isfinite(healthy.high) ? 0.5 * (healthy.low + healthy.high) : healthy.low;
    test.minutes = minutes;
    for (std::size_t k = 0; k < under.size(); ++k) {
      if (under[k].low > healthy.high || under[k].high < healthy.low) test.exposes.push_back(k);
    }
    proof.report.tests.push_back(test);
    proof.report.plan.push_back(proof.report.tests.size() - 1);
    rows.push_back(std::move(under));
    return proof.report.tests.size() - 1;
  }

  // Cells from the rows; call it last.
  const Proof& done() {
    proof.readings.faults = proof.report.faults.size();
    proof.readings.rows.clear();
    for (const std::vector<Band>& row : rows) {
      ReadingRow& made = proof.readings.rows.emplace_back();
      for (const Band& band : row) made.push_back(band);
    }
    return proof;
  }
};

// Stages in series, one fault each. Test "behind k" shows whether one of the first k stages is at fault; the
// last one shows that something is.
inline MadeUpProof chain(const std::vector<double>& odds) {
  MadeUpProof made;
  for (std::size_t k = 0; k < odds.size(); ++k) made.add_fault("stage " + std::to_string(k + 1), odds[k]);
  for (std::size_t stage = 1; stage <= odds.size(); ++stage) {
    std::vector<Band> under;
    for (std::size_t fault = 0; fault < odds.size(); ++fault) under.push_back(fault < stage ? faulty : sound);
    made.add_test("behind " + std::to_string(stage), sound, under);
  }
  made.done();
  return made;
}

inline Reading reading_of(const std::string& test, double value, const std::string& unit = "V") {
  Reading reading;
  reading.id = "reading of " + test;
  reading.test = test;
  reading.value = value;
  reading.unit = unit;
  return reading;
}

}  // namespace loomgraft::samples
