// One solution with everything on gives the current through every joint. What a joint does to an input is read off the
// fault dictionary, for a ladder of resistances in every joint.
#include "readings/working_currents.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>

#include "network/cavity_pins.h"
#include "network/frame.h"
#include "readings/dictionary.h"
#include "readings/working_conditions.h"
#include "standards/network_figures.h"
#include "standards/wire_burns.h"
#include "units/print.h"

namespace loomgraft {
namespace {

constexpr double never = std::numeric_limits<double>::infinity();

// Where one range of a joint's ohms ends and the next begins.
constexpr std::array range_ends{0.3, 3.0, 100.0, 3000.0};
// A range of less than an octave is joined to the next.
constexpr double narrowest_range = 2.0;
// Ohms tried for what they do to inputs.
constexpr std::array ladder{0.05, 0.2, 0.5, 2.0, 5.0, 20.0, 50.0, 200.0, 500.0, 2e3, 5e3, 2e4, 5e4};
// A thin wire that takes less of the supply than this, and stays cool, does not matter.
constexpr double thin_wire_drop_share = 0.03;
// A fuse of the next ratings up: 10 A in the place of 5 A, 20 A in the place of 10 A.
constexpr double higher_rating = 2.0;

struct WorkingCircuit {
  LoomNetwork network;
  NetworkSolution solution;
  double volts = 0.0;
};

std::optional<WorkingCircuit> working_circuit(const LoomFrame& frame) {
  WorkingCircuit made;
  NetworkOptions options;
  options.corner = Corner::strongest;
  options.crimps = true;
  made.network = network_of(frame, everything_on(frame.graft), options);
  auto solution = solve(made.network);
  if (!solution) return std::nullopt;
  made.solution = std::move(*solution);
  made.volts = network_figure("working_v", frame.system).high();
  return made;
}

// The lowest ohms of the ladder at which a joint shifts some input far enough; by fault, infinity where none does.
std::vector<double> shifting_ohms(const LoomFrame& frame, const WorkingCircuit& circuit,
                                  const std::vector<NetworkChange>& changes, const StopToken& stop) {
  std::vector<double> smallest(changes.size(), never);
  std::vector<NetworkChange> tried;
  std::vector<std::pair<std::size_t, double>> of;
  for (std::size_t k = 0; k < changes.size(); ++k) {
    if (changes[k].branches.size() != 1) continue;
    const std::size_t branch = changes[k].branches.front().branch;
    const Ohms healthy = circuit.network.circuit.resistors[circuit.network.branches[branch].index].resistance;
    for (const double ohms : ladder) {
      tried.emplace_back();
      tried.back().branches.push_back({branch, healthy + Ohms{ohms}});
      of.emplace_back(k, ohms);
    }
  }
  std::vector<DictionaryTest> inputs;
  for (const auto& [end, node] : circuit.network.inner_nodes) {
    const PinAt found = pin_at(frame.graft, end);
    if (!found.pin) continue;
    const PinKind kind = pin_model(found.pin->pin_class, PinSide::module, frame.system).ratings.kind;
    if (kind != PinKind::input && kind != PinKind::sensor) continue;
    const auto earth = module_earth_node(circuit.network, found.module->id);
    inputs.push_back({MeterKind::volts, node, earth.value_or(earth_node), 0});
  }
  const double shift = network_figure("input_shift_v", frame.system).middle();
  (void)fault_dictionary(
      circuit.network, inputs, tried,
      [&](std::size_t, double healthy, std::span<const double> readings) {
        for (std::size_t k = 0; k < readings.size(); ++k) {
          if (std::abs(readings[k] - healthy) > shift)
            smallest[of[k].first] = std::min(smallest[of[k].first], of[k].second);
        }
      },
      stop);
  return smallest;
}

double current_through(const WorkingCircuit& circuit, std::size_t branch) {
  return std::abs(branch_current(circuit.network, circuit.solution, branch).si);
}

double smallest_joint(const LoomFrame& frame, const WorkingCircuit& circuit, double current,
                      double shifting) {
  const double least = default_figure("joint_from_ohm");
  const double heat = network_figure("joint_matters_w", frame.system).middle();
  const double loaded =
      current > 0.0
          ? smallest_that_matters({circuit.volts}, {current}, {heat}, default_figure("joint_drop_share")).si
          : never;
  const double matters = std::min(loaded, shifting);
  if (matters < default_figure("joint_up_to_ohm")) return std::max(least, matters);
  return network_figure("bad_signal_joint_ohm", frame.system).low();
}

// The most between two resistances: at the circuit's own, or at the end nearer to it.
Watts most_heat(const WorkingCircuit& circuit, double current, double from, double to) {
  if (!(current > 0.0)) return {};
  const double own = circuit.volts / current;
  return heat_of_joint({circuit.volts}, {current}, {std::clamp(own, from, to)});
}

// From one resistance to another, cut where a range ends.
std::vector<std::pair<double, double>> ranges_between(double from, double to) {
  std::vector<std::pair<double, double>> ranges;
  for (const double end : range_ends) {
    if (end < narrowest_range * from || narrowest_range * end > to) continue;
    ranges.emplace_back(from, end);
    from = end;
  }
  ranges.emplace_back(from, to);
  return ranges;
}

Fault in_range(const Fault& joint, double from, double to, double share) {
  Fault one = joint;
  one.ohms = {from};
  one.up_to = {to};
  one.prior = joint.prior * share;
  one.joint_text = joint.text;
  one.text += " (" + print(one.ohms) + " to " + print(one.up_to) + ")";
  return one;
}

// One fault for each range; the first that matters keeps the id.
void add_ranges(const Fault& joint, const WorkingCircuit& circuit, double current, double smallest,
                const LoomFrame& frame, std::vector<Fault>& faults) {
  const double least = default_figure("joint_from_ohm");
  const double last = std::max(default_figure("joint_up_to_ohm"), narrowest_range * smallest);
  const double burns = network_figure("joint_burns_w", frame.system).middle();
  const auto share = [&](double from, double to) { return std::log(to / from) / std::log(last / least); };
  if (smallest > least) {
    for (const auto& [from, to] : ranges_between(least, smallest)) {
      Fault slight = in_range(joint, from, to, share(from, to));
      slight.id += from == least ? " slight" : fmt::format(" slight from {:g} ohm", from);
      slight.matters = false;
      faults.push_back(std::move(slight));
    }
  }
  for (const auto& [from, to] : ranges_between(smallest, last)) {
    Fault one = in_range(joint, from, to, share(from, to));
    one.heat = most_heat(circuit, current, from, to);
    if (one.heat.si >= burns) one.harm = Harm::fire;
    if (from > smallest) one.id += fmt::format(" from {:g} ohm", from);
    if (one.heat.si >= 1.0) one.text += ", which gives off up to " + print(one.heat);
    faults.push_back(std::move(one));
  }
}

const Wire* wire_with(const LoomFrame& frame, const std::string& id) {
  const auto found = std::ranges::find(frame.allowed, id, &Wire::id);
  return found == frame.allowed.end() ? nullptr : &*found;
}

SquareMetres area_of(const LoomFrame& frame, const Wire& wire) {
  return wire.area.value_or(square_millimetres(network_figure("wire_mm2", frame.system).middle()));
}

// False where the thinner copper changes nothing that matters.
bool weigh_thin_wire(const LoomFrame& frame, const WorkingCircuit& circuit, const NetworkChange& change,
                     Fault& fault) {
  const Wire* wire = wire_with(frame, fault.subjects[0].id);
  if (!wire || change.branches.empty()) return false;
  const BranchChange& thin = change.branches.front();
  const double current = current_through(circuit, thin.branch);
  const NetworkBranch& branch = circuit.network.branches[thin.branch];
  const double added = thin.resistance.si - circuit.network.circuit.resistors[branch.index].resistance.si;
  const SquareMetres left = area_of(frame, *wire) * default_figure("thin_wire_share");
  const bool burns = current > burning_current(left).si;
  if (burns) fault.harm = Harm::fire;
  return burns || current * added > thin_wire_drop_share * circuit.volts;
}

// A fuse that would let through what burns the thinnest wire at it.
void weigh_rating(const LoomFrame& frame, Fault& fault) {
  const Device* fuse = find_device(frame, fault.subjects[0].id);
  if (!fuse || !fuse->rating) return;
  double smallest = never;
  for (const Wire& wire : frame.allowed) {
    if (wire.from.at == fuse->id || wire.to.at == fuse->id)
      smallest = std::min(smallest, area_of(frame, wire).si);
  }
  const double passed = contention_rule("fuse_opens_at", frame.system) * higher_rating * fuse->rating->si;
  if (std::isfinite(smallest) && passed > burning_current({smallest}).si) fault.harm = Harm::fire;
}

}  // namespace

Watts heat_of_joint(Volts volts, Amperes current, Ohms joint) {
  const double share = 1.0 + joint.si * current.si / volts.si;
  return {current.si * current.si * joint.si / (share * share)};
}

Ohms smallest_that_matters(Volts volts, Amperes current, Watts heat, double drop_share) {
  const double own = volts.si / current.si;
  const double by_drop = own * drop_share / (1.0 - drop_share);
  // heat (1 + R / own)² = I² R, for R.
  const double a = heat.si / (own * own);
  const double b = 2.0 * heat.si / own - current.si * current.si;
  const double root = b * b - 4.0 * a * heat.si;
  const double by_heat = root < 0.0 || b > 0.0 ? never : 2.0 * heat.si / (-b + std::sqrt(root));
  return {std::min(by_drop, by_heat)};
}

std::vector<Fault> with_working_currents(const LoomFrame& frame, std::vector<Fault> faults,
                                         const StopToken& stop) {
  const auto circuit = working_circuit(frame);
  if (!circuit) return faults;
  std::vector<NetworkChange> changes = changes_of(faults, circuit->network);
  std::vector<NetworkChange> joints(faults.size());
  for (std::size_t k = 0; k < faults.size(); ++k) {
    if (faults[k].kind == FaultKind::bad_joint) joints[k] = changes[k];
  }
  const std::vector<double> shifting = shifting_ohms(frame, *circuit, joints, stop);
  std::vector<Fault> weighed;
  for (std::size_t k = 0; k < faults.size(); ++k) {
    Fault& fault = faults[k];
    if (fault.kind == FaultKind::bad_joint && !changes[k].branches.empty()) {
      const double current = current_through(*circuit, changes[k].branches.front().branch);
      add_ranges(fault, *circuit, current, smallest_joint(frame, *circuit, current, shifting[k]), frame,
                 weighed);
      continue;
    }
    if (fault.kind == FaultKind::wrong_rating) weigh_rating(frame, fault);
    if (fault.kind == FaultKind::thin_wire && !weigh_thin_wire(frame, *circuit, changes[k], fault)) continue;
    weighed.push_back(std::move(fault));
  }
  double sum = 0.0;
  for (const Fault& fault : weighed) sum += fault.prior;
  for (Fault& fault : weighed) fault.prior /= sum;
  return weighed;
}

}  // namespace loomgraft
