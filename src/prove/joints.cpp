// The smallest added resistance that a planned test detects, by trying a ladder of resistances in each joint: first
// decades in all conditions, then steps within the decade in which a test first detects it.
#include <algorithm>
#include <cmath>
#include <limits>

#include "base/parallel.h"
#include "base/stop.h"
#include "prove/plan_internal.h"

namespace loomgraft::prove {
namespace {

// Resolution of the search.
constexpr double lowest = 1e-3;  // ohms
constexpr int decades = 10;      // up to 10 MΩ
constexpr int steps = 20;        // within a decade: 12 % each

struct Joint {
  std::size_t fault = 0;
  double ohms = std::numeric_limits<double>::infinity();
  std::string test;
};

struct TriedResistance {
  std::size_t joint = 0;
  double ohms = 0.0;
};

// The planned tests of one condition, and its bench.
struct JointBench {
  const ConditionBench& bench;
  std::vector<const MeasuredTest*> tests;
  StopToken stop{};
};

std::optional<std::size_t> joint_branch(const ConditionBench& bench, std::size_t fault) {
  const NetworkChange& change = bench.changes[bench.of_fault[fault].first];
  if (change.branches.empty()) return std::nullopt;
  return change.branches.front().branch;
}

NetworkChange with_added(const ConditionBench& bench, std::size_t branch, double ohms) {
  const NetworkBranch& item = bench.nominal.branches[branch];
  NetworkChange change;
  change.branches.push_back({branch, bench.nominal.circuit.resistors[item.index].resistance + Ohms{ohms}});
  return change;
}

// For each of them the first test that detects it, or nothing.
std::vector<const MeasuredTest*> detecting_tests(const MeterSheet& meter, const JointBench& condition,
                                                 const std::vector<Joint>& joints,
                                                 const std::vector<TriedResistance>& tried) {
  std::vector<const MeasuredTest*> by(tried.size());
  std::vector<NetworkChange> changes;
  for (const TriedResistance& one : tried) {
    const auto branch = joint_branch(condition.bench, joints[one.joint].fault);
    changes.push_back(branch ? with_added(condition.bench, *branch, one.ohms) : NetworkChange{});
  }
  std::vector<DictionaryTest> probes;
  for (const MeasuredTest* test : condition.tests) probes.push_back(test->candidate.probe);
  (void)fault_dictionary(
      condition.bench.nominal, probes, changes,
      [&](std::size_t number, double, std::span<const double> readings) {
        const MeasuredTest& test = *condition.tests[number];
        for (std::size_t k = 0; k < readings.size(); ++k) {
          if (by[k] || changes[k].empty()) continue;
          const Band band = fault_band(meter, test.candidate.quantity, test.span, readings[k], true);
          if (is_exposed(meter, test.candidate.quantity, test.candidate.test.band, band)) by[k] = &test;
        }
      },
      condition.stop);
  return by;
}

// Keeps the smallest resistance detected in each joint.
void keep_smallest(std::vector<Joint>& joints, const std::vector<TriedResistance>& tried,
                   const std::vector<const MeasuredTest*>& by) {
  for (std::size_t k = 0; k < tried.size(); ++k) {
    Joint& joint = joints[tried[k].joint];
    if (!by[k] || tried[k].ohms >= joint.ohms) continue;
    joint.ohms = tried[k].ohms;
    joint.test = by[k]->candidate.test.id;
  }
}

// The decade in which each joint is first detected.
std::vector<Joint> find_decades(const MeterSheet& meter, const JointBench& condition,
                                std::vector<Joint> joints) {
  std::vector<TriedResistance> tried;
  for (std::size_t k = 0; k < joints.size(); ++k) {
    for (int decade = 0; decade <= decades; ++decade) tried.push_back({k, lowest * std::pow(10.0, decade)});
  }
  keep_smallest(joints, tried, detecting_tests(meter, condition, joints, tried));
  return joints;
}

// Steps within it, except for joints that another condition detects at less than any of them.
void find_steps(const MeterSheet& meter, const JointBench& condition, const std::vector<double>& smallest,
                std::vector<Joint>& joints) {
  std::vector<TriedResistance> tried;
  for (std::size_t k = 0; k < joints.size(); ++k) {
    if (!std::isfinite(joints[k].ohms) || joints[k].ohms / 10.0 >= smallest[k]) continue;
    for (int step = 1; step < steps; ++step)
      tried.push_back({k, joints[k].ohms * std::pow(10.0, -step / static_cast<double>(steps))});
  }
  keep_smallest(joints, tried, detecting_tests(meter, condition, joints, tried));
}

std::vector<JointBench> planned_benches(const ProveReport& report, const std::vector<MeasuredTest>& measured,
                                        const std::vector<std::optional<ConditionBench>>& benches,
                                        const StopToken& stop) {
  std::vector<JointBench> planned;
  for (std::size_t condition = 0; condition < benches.size(); ++condition) {
    if (!benches[condition]) continue;
    JointBench bench{*benches[condition], {}, stop};
    for (const std::size_t test : report.plan) {
      if (report.tests[test].condition == condition) bench.tests.push_back(&measured[test]);
    }
    if (!bench.tests.empty()) planned.push_back(std::move(bench));
  }
  return planned;
}

// For each joint the condition that detects the smallest resistance; of equals the first.
void find_in_all(const MeterSheet& meter, const std::vector<JointBench>& conditions,
                 std::vector<Joint>& joints) {
  std::vector<std::vector<Joint>> found(conditions.size());
  parallel_for(conditions.size(),
               [&](std::size_t k) { found[k] = find_decades(meter, conditions[k], joints); });
  std::vector<double> smallest(joints.size(), std::numeric_limits<double>::infinity());
  for (const std::vector<Joint>& own : found) {
    for (std::size_t k = 0; k < own.size(); ++k) smallest[k] = std::min(smallest[k], own[k].ohms);
  }
  parallel_for(conditions.size(),
               [&](std::size_t k) { find_steps(meter, conditions[k], smallest, found[k]); });
  for (const std::vector<Joint>& own : found) {
    for (std::size_t k = 0; k < own.size(); ++k) {
      if (own[k].ohms < joints[k].ohms) joints[k] = own[k];
    }
  }
}

}  // namespace

std::vector<JointThreshold> joint_thresholds(const MeterSheet& meter, const ProveReport& report,
                                             const std::vector<MeasuredTest>& measured,
                                             const std::vector<std::optional<ConditionBench>>& benches,
                                             const StopToken& stop) {
  std::vector<Joint> joints;
  for (std::size_t fault = 0; fault < report.faults.size(); ++fault) {
    const Fault& one = report.faults[fault];
    const bool again = fault > 0 && report.faults[fault - 1].subjects == one.subjects;  // another range
    if (one.kind == FaultKind::bad_joint && !again)
      joints.push_back({fault, std::numeric_limits<double>::infinity(), {}});
  }
  find_in_all(meter, planned_benches(report, measured, benches, stop), joints);
  std::vector<JointThreshold> thresholds;
  for (const Joint& joint : joints) {
    const Fault& fault = report.faults[joint.fault];
    JointThreshold made{subject_id(fault.subjects[0]) + " " + subject_id(fault.subjects[1]),
                        fault.joint_text.empty() ? fault.text : fault.joint_text,
                        {},
                        joint.test};
    if (std::isfinite(joint.ohms)) made.ohms = Ohms{joint.ohms};
    thresholds.push_back(std::move(made));
  }
  return thresholds;
}

}  // namespace loomgraft::prove
