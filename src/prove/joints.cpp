// Thresholds by a ladder of resistances: decades first, then steps within the decade in which a test wakes.
#include <algorithm>
#include <cmath>
#include <limits>

#include "base/parallel.h"
#include "prove/plan_internal.h"

namespace loomgraft::prove {
namespace {

constexpr double lowest = 1e-3;  // ohms
constexpr int decades = 10;      // up to 10 Mohm
constexpr int steps = 20;        // within a decade: 12 % each

struct Joint {
  std::size_t fault = 0;
  double ohms = std::numeric_limits<double>::infinity();
  std::string test;
};

// A resistance tried in a joint.
struct Trial {
  std::size_t joint = 0;
  double ohms = 0.0;
};

// The planned tests of one state, and its bench.
struct JointBench {
  const StateBench& bench;
  std::vector<const MeasuredTest*> tests;
  std::stop_token stop{};
};

std::optional<std::size_t> joint_branch(const StateBench& bench, std::size_t fault) {
  const NetworkChange& change = bench.changes[fault];
  if (change.branches.empty()) return std::nullopt;
  return change.branches.front().branch;
}

NetworkChange with_added(const StateBench& bench, std::size_t branch, double ohms) {
  const NetworkBranch& item = bench.nominal.branches[branch];
  NetworkChange change;
  change.branches.push_back({branch, bench.nominal.circuit.resistors[item.index].resistance + Ohms{ohms}});
  return change;
}

// For each trial the first test that notices it, or nothing.
std::vector<const MeasuredTest*> noticed(const MeterSheet& meter, const JointBench& state,
                                         const std::vector<Joint>& joints, const std::vector<Trial>& trials) {
  std::vector<const MeasuredTest*> by(trials.size());
  std::vector<NetworkChange> changes;
  for (const Trial& trial : trials) {
    const auto branch = joint_branch(state.bench, joints[trial.joint].fault);
    changes.push_back(branch ? with_added(state.bench, *branch, trial.ohms) : NetworkChange{});
  }
  std::vector<DictionaryTest> probes;
  for (const MeasuredTest* test : state.tests) probes.push_back(test->candidate.probe);
  (void)fault_dictionary(
      state.bench.nominal, probes, changes,
      [&](std::size_t number, double, std::span<const double> readings) {
        const MeasuredTest& test = *state.tests[number];
        for (std::size_t k = 0; k < readings.size(); ++k) {
          if (by[k] || changes[k].empty()) continue;
          const Band band = fault_band(meter, test.candidate.quantity, test.span, readings[k], true);
          if (is_exposed(meter, test.candidate.quantity, test.candidate.test.band, band)) by[k] = &test;
        }
      },
      state.stop);
  return by;
}

// Keeps the least resistance noticed of each joint.
void settle(std::vector<Joint>& joints, const std::vector<Trial>& trials,
            const std::vector<const MeasuredTest*>& by) {
  for (std::size_t k = 0; k < trials.size(); ++k) {
    Joint& joint = joints[trials[k].joint];
    if (!by[k] || trials[k].ohms >= joint.ohms) continue;
    joint.ohms = trials[k].ohms;
    joint.test = by[k]->candidate.test.id;
  }
}

// The decade in which each joint is noticed first.
std::vector<Joint> look_for_decades(const MeterSheet& meter, const JointBench& state,
                                    std::vector<Joint> joints) {
  std::vector<Trial> trials;
  for (std::size_t k = 0; k < joints.size(); ++k) {
    for (int decade = 0; decade <= decades; ++decade) trials.push_back({k, lowest * std::pow(10.0, decade)});
  }
  settle(joints, trials, noticed(meter, state, joints, trials));
  return joints;
}

// Steps within it, but for joints that another state notices at less than any of them.
void look_closer(const MeterSheet& meter, const JointBench& state, const std::vector<double>& least,
                 std::vector<Joint>& joints) {
  std::vector<Trial> trials;
  for (std::size_t k = 0; k < joints.size(); ++k) {
    if (!std::isfinite(joints[k].ohms) || joints[k].ohms / 10.0 >= least[k]) continue;
    for (int step = 1; step < steps; ++step)
      trials.push_back({k, joints[k].ohms * std::pow(10.0, -step / static_cast<double>(steps))});
  }
  settle(joints, trials, noticed(meter, state, joints, trials));
}

std::vector<JointBench> planned_benches(const ProveReport& report, const std::vector<MeasuredTest>& measured,
                                        const std::vector<std::optional<StateBench>>& benches,
                                        const std::stop_token& stop) {
  std::vector<JointBench> planned;
  for (std::size_t state = 0; state < benches.size(); ++state) {
    if (!benches[state]) continue;
    JointBench bench{*benches[state], {}, stop};
    for (const std::size_t test : report.plan) {
      if (report.tests[test].state == state) bench.tests.push_back(&measured[test]);
    }
    if (!bench.tests.empty()) planned.push_back(std::move(bench));
  }
  return planned;
}

// Of each joint the state that notices least; of equals the first.
void look_in_all(const MeterSheet& meter, const std::vector<JointBench>& states, std::vector<Joint>& joints) {
  std::vector<std::vector<Joint>> found(states.size());
  parallel_for(states.size(), [&](std::size_t k) { found[k] = look_for_decades(meter, states[k], joints); });
  std::vector<double> least(joints.size(), std::numeric_limits<double>::infinity());
  for (const std::vector<Joint>& own : found) {
    for (std::size_t k = 0; k < own.size(); ++k) least[k] = std::min(least[k], own[k].ohms);
  }
  parallel_for(states.size(), [&](std::size_t k) { look_closer(meter, states[k], least, found[k]); });
  for (const std::vector<Joint>& own : found) {
    for (std::size_t k = 0; k < own.size(); ++k) {
      if (own[k].ohms < joints[k].ohms) joints[k] = own[k];
    }
  }
}

}  // namespace

std::vector<JointThreshold> joint_thresholds(const MeterSheet& meter, const ProveReport& report,
                                             const std::vector<MeasuredTest>& measured,
                                             const std::vector<std::optional<StateBench>>& benches,
                                             const std::stop_token& stop) {
  std::vector<Joint> joints;
  for (std::size_t fault = 0; fault < report.faults.size(); ++fault) {
    if (report.faults[fault].kind == FaultKind::bad_joint)
      joints.push_back({fault, std::numeric_limits<double>::infinity(), {}});
  }
  look_in_all(meter, planned_benches(report, measured, benches, stop), joints);
  std::vector<JointThreshold> thresholds;
  for (const Joint& joint : joints) {
    const Fault& fault = report.faults[joint.fault];
    JointThreshold made{fault.subjects[0] + " " + fault.subjects[1], fault.text, {}, joint.test};
    if (std::isfinite(joint.ohms)) made.ohms = Ohms{joint.ohms};
    thresholds.push_back(std::move(made));
  }
  return thresholds;
}

}  // namespace loomgraft::prove
