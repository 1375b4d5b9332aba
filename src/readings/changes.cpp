// The figures of each change that a test needs. docs/engine-faults.md, section 2.
#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include "readings/dictionary_internal.h"

namespace loomgraft::readings {
namespace {

// From here on 1 + d z, and the volts across a branch, have enough digits; below, the branch is removed and
// put back.
constexpr double enough_kept = 1e-4;
constexpr double enough_volts = 2e-4;
// Where a branch cannot be removed and put back cheaply: the share of 1 + d z at which the update still has
// enough digits.
constexpr double barely_kept = 1e-8;

// A mirrored plug bridges many pairs of nodes: preallocating all of them would fill the factorisation.
constexpr std::size_t most_bridges = 8;

bool is_resistance(double ohms) {
  return ohms > 0.0;
}

LoweredChange one_branch(const LoomNetwork& network, const BranchChange& change,
                         const std::set<std::size_t>& contacts) {
  LoweredChange result;
  const NetworkBranch& item = network.branches[change.branch];
  const bool resistor = item.list == ElementList::resistor;
  result.branch = linearised_index(network, change.branch);
  result.a = item.a;
  result.b = item.b;
  if (!resistor) return result;  // changed() leaves it as it is
  result.needs_full_solve = contacts.contains(change.branch) || !is_resistance(change.resistance.si);
  const Resistor& element = network.circuit.resistors[item.index];
  result.a = element.a;
  result.b = element.b;
  result.before = 1.0 / element.resistance.si;
  result.after = 1.0 / change.resistance.si;
  return result;
}

LoweredChange one_bridge(const Bridge& bridge) {
  LoweredChange result;
  result.is_bridge = true;
  result.needs_full_solve = !is_resistance(bridge.resistance.si);
  result.a = bridge.a;
  result.b = bridge.b;
  result.after = 1.0 / bridge.resistance.si;
  return result;
}

// With the branch removed: the resistance and the volts across the gap. Every digit is kept.
void weigh_opened(LoweredChange& change, ChangedFronts& work, const LinearisedNetwork& linearised,
                  Carried& carried) {
  NodalBranch out = linearised.branches[change.branch];
  out.conductance = 0.0;
  work.change({&change.branch, 1}, {&out, 1});
  const Dipole dipole = linearised.dipole(change.a, change.b);
  work.carry(dipole, carried);
  const double gap = work.resistance(carried);
  const double volts = work.volts(dipole);
  work.restore();
  const double d = change.after - change.before;
  const double load = 1.0 + change.after * gap;
  change.sweep.flow = d * volts / load;
  change.sweep.stiffness = d * (1.0 + change.before * gap) / load;
}

void weigh(LoweredChange& change, ChangedFronts& work, const LinearisedNetwork& linearised,
           Carried& carried) {
  const Dipole dipole = linearised.dipole(change.a, change.b);
  change.sweep.a = dipole.plus;
  change.sweep.b = dipole.minus;
  change.sweep.flow = change.sweep.stiffness = change.sweep.couple = 0.0;
  change.sweep.strain = 1.0;
  const double d = change.after - change.before;
  if (d == 0.0 || dipole.plus == dipole.minus) return;
  const double kept = 1.0 + d * ohms_between(linearised, dipole, work, carried);
  const double volts = work.volts(dipole);
  const bool sure = kept >= enough_kept && (volts == 0.0 || std::abs(volts) >= enough_volts);
  if (d < 0.0 && !sure &&
      linearised.tree->path_cost[linearised.tree->branch_home[change.branch]] < largest_path_cost) {
    weigh_opened(change, work, linearised, carried);
  } else {
    change.sweep.stiffness = d / kept;
    change.sweep.flow = change.sweep.stiffness * volts;
    change.needs_full_solve = kept < barely_kept;
  }
  if (!std::isfinite(change.sweep.flow) || !std::isfinite(change.sweep.stiffness))
    change.needs_full_solve = true;
}

// Of the watched pairs from `first` on, as many as there are lanes.
void watch_block(std::size_t first, const LinearisedNetwork& linearised, const SweepTable& table,
                 Reach& reach, const SweepKernel& kernel, std::span<const SweepChange> changes,
                 std::vector<Lanes>& z, std::vector<Lanes>& headroom, std::vector<Lanes>& couple) {
  constexpr double unlimited = std::numeric_limits<double>::infinity();
  const std::span all(linearised.watched);
  const auto block = all.subspan(first, std::min(sweep_lanes, all.size() - first));
  SweepDipoles dipoles;
  SweepWatch watch;
  for (std::size_t lane = 0; lane < sweep_lanes; ++lane) {
    const bool used = lane < block.size();
    dipoles.at[lane] = used ? linearised.dipole(block[lane].a, block[lane].b)
                            : Dipole{linearised.tree->count, linearised.tree->count};
    watch.volts.at[lane] = used ? block[lane].volts : 0.0;
    watch.low.at[lane] = used ? block[lane].low : -unlimited;
    watch.high.at[lane] = used ? block[lane].high : unlimited;
    watch.per_headroom.at[lane] = used ? linearised.headroom.per_headroom[first + lane] : 1.0;
  }
  dipoles.reach = reach.of(dipoles.at);
  dipoles.fill = table.everywhere;
  kernel.solve(table.rows, dipoles, z.data());
  kernel.watch(z.data(), changes, watch, headroom.data(), couple.data());
}

}  // namespace

std::set<std::size_t> relay_contacts(const LoomNetwork& network) {
  std::set<std::size_t> contacts;
  for (const NetworkRelay& relay : network.relays) {
    contacts.insert(relay.make.begin(), relay.make.end());
    contacts.insert(relay.break_.begin(), relay.break_.end());
  }
  return contacts;
}

bool is_plain(const LoomNetwork& network, const NetworkChange& change,
              const std::set<std::size_t>& contacts) {
  if (change.empty() || !change.is_linear() || change.bridges.size() > most_bridges) return false;
  return std::ranges::all_of(change.branches,
                             [&](const BranchChange& one) {
                               return network.branches[one.branch].list == ElementList::resistor &&
                                      !contacts.contains(one.branch) && is_resistance(one.resistance.si);
                             }) &&
         std::ranges::all_of(change.bridges,
                             [](const Bridge& bridge) { return is_resistance(bridge.resistance.si); });
}

std::vector<LoweredChange> lower(const LoomNetwork& network, std::span<const NetworkChange> changes) {
  const std::set<std::size_t> contacts = relay_contacts(network);
  std::vector<LoweredChange> result;
  result.reserve(changes.size());
  for (const NetworkChange& change : changes) {
    LoweredChange one;
    if (change.is_linear() && change.branches.size() == 1 && change.bridges.empty()) {
      one = one_branch(network, change.branches[0], contacts);
    } else if (change.is_linear() && change.branches.empty() && change.bridges.size() == 1) {
      one = one_bridge(change.bridges[0]);
    } else {
      one.needs_full_solve = !change.empty();
    }
    one.is_plain = is_plain(network, change, contacts);
    result.push_back(one);
  }
  return result;
}

void weigh_changes(LinearisedNetwork& linearised, std::vector<LoweredChange>& changes) {
  find_pairs(linearised);
  ChangedFronts work(*linearised.tree, linearised.fronts);
  Carried carried;
  for (LoweredChange& change : changes) {
    if (!change.needs_full_solve) weigh(change, work, linearised, carried);
  }
}

void watch_changes(const LinearisedNetwork& linearised, const SweepKernel& kernel,
                   std::vector<LoweredChange>& changes) {
  if (linearised.watched.empty()) return;
  std::vector<SweepChange> sweeps;
  std::vector<std::size_t> which;
  for (std::size_t k = 0; k < changes.size(); ++k) {
    if (changes[k].needs_full_solve) continue;
    sweeps.push_back(changes[k].sweep);
    which.push_back(k);
  }
  const SweepTable table = sweep_table(linearised);
  Reach reach(*linearised.tree);
  std::vector<Lanes> z(linearised.tree->count + 1);
  Lanes plenty;
  std::fill_n(plenty.at, sweep_lanes, std::numeric_limits<double>::infinity());
  std::vector<Lanes> headroom(sweeps.size(), plenty);
  std::vector<Lanes> couple(sweeps.size());
  for (std::size_t k = 0; k < linearised.watched.size(); k += sweep_lanes)
    watch_block(k, linearised, table, reach, kernel, sweeps, z, headroom, couple);
  for (std::size_t k = 0; k < which.size(); ++k) {
    const double least = *std::min_element(headroom[k].at, headroom[k].at + sweep_lanes);
    LoweredChange& change = changes[which[k]];
    change.needs_full_solve = !(least > 1e-9);
    change.sweep.strain = 1.0 / least;
    change.sweep.couple = *std::max_element(couple[k].at, couple[k].at + sweep_lanes);
  }
}

namespace {

// Whether errors, in units of sweep_rounding, leave a reading enough digits.
bool is_sure(const OpenReading& reading, double volts_error, double ohms_error) {
  return volts_error * sweep_doubt <= std::max(std::abs(reading.volts), 1e-3) &&
         ohms_error * sweep_doubt <= std::max(reading.ohms, 1e-3);
}

// A branch that conducts less: it is removed again, so that nothing is the difference of two large numbers.
std::optional<OpenReading> around_branch(ChangedFronts& work, const LinearisedNetwork& linearised,
                                         Dipole test, const LoweredChange& change) {
  NodalBranch out = linearised.branches[change.branch];
  out.conductance = 0.0;
  work.change({&change.branch, 1}, {&out, 1});
  const Dipole dipole = linearised.dipole(change.a, change.b);
  Carried through;
  Carried probes;
  work.carry(dipole, through);
  work.carry(test, probes);
  const double per_q = change.after / (1.0 + change.after * work.resistance(through));
  const double q = work.transfer(probes, through);
  const double q_error = work.transfer_rounding(probes, through);
  const double gap_volts = work.volts(dipole);
  const double z = work.resistance(probes);
  const OpenReading reading{work.volts(test) - per_q * q * gap_volts, z - per_q * q * q};
  work.restore();
  const double ohms_error = per_q * q_error * (2.0 * std::abs(q) + sweep_rounding * q_error);
  const bool sure = is_sure(reading, per_q * q_error * std::abs(gap_volts), z + ohms_error);
  return sure ? std::optional(reading) : std::nullopt;
}

// A branch that conducts more: the test as the branch's own dipole and a remainder, which is small if the two
// are near each other.
std::optional<OpenReading> beside_shunt(ChangedFronts& work, const LinearisedNetwork& linearised, Dipole test,
                                        const LoweredChange& change) {
  Dipole shunt = linearised.dipole(change.a, change.b);
  Carried through;
  Carried probes;
  work.carry(shunt, through);
  work.carry(test, probes);
  if (work.transfer(probes, through) < 0.0) std::swap(shunt.plus, shunt.minus);
  work.carry(shunt, through);
  Carried left;
  work.carry_difference(test, shunt, left);
  const double d = change.after - change.before;
  const double z = work.resistance(through);
  const double kept = 1.0 + d * z;
  const double rest = work.resistance(left);
  const double q = work.transfer(left, through);
  const double q_error = work.transfer_rounding(left, through);
  const double joined = work.volts(shunt) / kept;
  const double left_volts = work.volts({test.plus, shunt.plus}) - work.volts({test.minus, shunt.minus});
  const OpenReading reading{joined + left_volts - d * joined * q,
                            (work.resistance(probes) + d * (rest * z - q * q)) / kept};
  const double ohms_error = d / kept * q_error * (2.0 * std::abs(q) + sweep_rounding * q_error);
  const bool sure = is_sure(reading, std::abs(d * joined) * q_error, rest + ohms_error);
  return sure ? std::optional(reading) : std::nullopt;
}

}  // namespace

std::optional<OpenReading> closer_reading(ChangedFronts& work, const LinearisedNetwork& linearised,
                                          Dipole test, const LoweredChange& change) {
  if (change.after >= change.before) return beside_shunt(work, linearised, test, change);
  if (linearised.tree->branch_home[change.branch] >= linearised.tree->count) return std::nullopt;
  if (linearised.tree->path_cost[linearised.tree->branch_home[change.branch]] >= largest_path_cost)
    return std::nullopt;
  return around_branch(work, linearised, test, change);
}

}  // namespace loomgraft::readings
