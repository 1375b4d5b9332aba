// What each fault means for one network: which branches change, what is bridged.
#include <algorithm>
#include <limits>
#include <map>

#include "loom/face.h"
#include "network/faults.h"

namespace loomgraft {
namespace {

constexpr Ohms open_circuit{std::numeric_limits<double>::infinity()};
constexpr Ohms dead_touch{0.01};  // metal on metal: some milliohms
constexpr Ohms bad_joint{1.0};
constexpr Ohms closed_contacts{0.02};
constexpr Ohms open_contacts{1e9};
constexpr Ohms between_open_and_closed{1e3};

WireEnd end_of(const std::string& subject) {
  const std::size_t colon = subject.rfind(':');
  if (colon == std::string::npos) return {subject, ""};
  return {subject.substr(0, colon), subject.substr(colon + 1)};
}

class Changer {
 public:
  explicit Changer(const LoomNetwork& network) : network_(network) {
    for (std::size_t k = 0; k < network.branches.size(); ++k)
      by_subject_[network.branches[k].subject].push_back(k);
    for (const auto& [at, branch] : network.crimps) crimps_at_[at.end.at].push_back({at, branch});
  }

  NetworkChange change_of(const Fault& fault) const {
    NetworkChange change;
    const std::vector<std::string>& subjects = fault.subjects;
    switch (fault.kind) {
      case FaultKind::wire_open:
        open(change, subjects[0], BranchKind::wire);
        break;
      case FaultKind::terminal_unseated:
        unseat(change, {subjects[1], end_of(subjects[0])});
        break;
      case FaultKind::bad_joint:
        add_to_crimp(change, {subjects[1], end_of(subjects[0])});
        break;
      case FaultKind::short_to_earth:
        if (const auto node = middle_of(subjects[0]))
          change.bridges.push_back({*node, earth_node, dead_touch});
        break;
      case FaultKind::short_to_supply:
        join(change, middle_of(subjects[0]), supply_of(subjects[1]));
        break;
      case FaultKind::bridged_cavities:
        join(change, node_at(network_, end_of(subjects[0])), node_at(network_, end_of(subjects[1])));
        break;
      case FaultKind::chafed_together:
        join(change, middle_of(subjects[0]), middle_of(subjects[1]));
        break;
      case FaultKind::swapped_wires:
        move_wire(change, {subjects[2], end_of(subjects[0])}, end_of(subjects[1]));
        move_wire(change, {subjects[3], end_of(subjects[1])}, end_of(subjects[0]));
        break;
      case FaultKind::one_cavity_off:
        move_wire(change, {subjects[2], end_of(subjects[0])}, end_of(subjects[1]));
        break;
      case FaultKind::mirrored_plug:
        mirror(change, subjects);
        break;
      case FaultKind::opposite_contacts:
        turn_contacts(change, subjects[0]);
        break;
      case FaultKind::reversed_diode:
        turn_diodes(change, subjects[0]);
        break;
      case FaultKind::missing_pull_up:
      case FaultKind::dead_driver:
        empty_pin(change, subjects[0]);
        break;
      case FaultKind::blown_fuse:
        open(change, subjects[0], BranchKind::fuse);
        break;
      case FaultKind::open_device:
        open(change, subjects[0], BranchKind::consumer);
        open(change, subjects[0], BranchKind::sensor);
        break;
    }
    return change;
  }

 private:
  template <class Act>
  void each(const std::string& subject, BranchKind kind, const Act& act) const {
    const auto found = by_subject_.find(subject);
    if (found == by_subject_.end()) return;
    for (const std::size_t branch : found->second) {
      if (network_.branches[branch].kind == kind) act(branch);
    }
  }

  bool is_resistor(std::size_t branch) const {
    return network_.branches[branch].list == ElementList::resistor;
  }
  Ohms ohms(std::size_t branch) const {
    return network_.circuit.resistors[network_.branches[branch].index].resistance;
  }

  void open(NetworkChange& change, const std::string& subject, BranchKind kind) const {
    each(subject, kind, [&](std::size_t branch) {
      if (is_resistor(branch)) return change.branches.push_back({branch, open_circuit});
      change.sources.push_back({branch, false});
    });
  }

  std::optional<std::size_t> crimp(const CrimpAt& at) const {
    const auto found = network_.crimps.find(at);
    if (found != network_.crimps.end()) return found->second;
    // A splice or an earth has one name for all its terminals.
    const auto there = crimps_at_.find(at.end.at);
    if (there == crimps_at_.end()) return std::nullopt;
    const auto same =
        std::ranges::find_if(there->second, [&](const auto& item) { return item.first.wire == at.wire; });
    return same == there->second.end() ? std::nullopt : std::optional(same->second);
  }

  // A terminal that is not home touches neither its mate nor a probe from the front.
  void unseat(NetworkChange& change, const CrimpAt& at) const {
    bool in_plug = false;
    each(at.end.at + ":" + at.end.cavity, BranchKind::contact, [&](std::size_t branch) {
      in_plug = true;
      change.branches.push_back({branch, open_circuit});
    });
    if (in_plug) return;
    if (const auto branch = crimp(at)) change.branches.push_back({*branch, open_circuit});
  }

  void add_to_crimp(NetworkChange& change, const CrimpAt& at) const {
    if (const auto branch = crimp(at)) change.branches.push_back({*branch, ohms(*branch) + bad_joint});
  }

  // The far end of the wire itself, behind its crimp.
  std::optional<NodeId> middle_of(const std::string& wire) const {
    const auto found = by_subject_.find(wire);
    if (found == by_subject_.end()) return std::nullopt;
    for (const std::size_t branch : found->second) {
      if (network_.branches[branch].kind == BranchKind::wire) return network_.branches[branch].b;
    }
    return std::nullopt;
  }

  std::optional<NodeId> supply_of(const std::string& battery) const {
    std::optional<NodeId> plus;
    each(battery, BranchKind::supply, [&](std::size_t branch) { plus = network_.branches[branch].a; });
    if (plus) return plus;
    for (const auto& [end, node] : network_.places) {
      if (end.at == battery && end.cavity == "+") return node;
    }
    return std::nullopt;
  }

  void join(NetworkChange& change, std::optional<NodeId> a, std::optional<NodeId> b) const {
    if (a && b && *a != *b) change.bridges.push_back({*a, *b, dead_touch});
  }

  void move_wire(NetworkChange& change, const CrimpAt& from, const WireEnd& to) const {
    const auto branch = crimp(from);
    const auto place = node_at(network_, to);
    if (!branch || !place) return;
    change.branches.push_back({*branch, open_circuit});
    change.bridges.push_back({network_.branches[*branch].a, *place, ohms(*branch)});
  }

  // Subjects: the plug, then of each wire its cavity, the one that mirrors it, and the wire.
  void mirror(NetworkChange& change, const std::vector<std::string>& subjects) const {
    for (std::size_t k = 1; k + 2 < subjects.size(); k += 3)
      move_wire(change, {subjects[k + 2], end_of(subjects[k])}, end_of(subjects[k + 1]));
  }

  void turn_contacts(NetworkChange& change, const std::string& device) const {
    for (std::size_t k = 0; k < network_.relays.size(); ++k) {
      if (network_.relays[k].device == device) change.relays_opposite.push_back(k);
    }
    if (!change.relays_opposite.empty()) return;
    each(device, BranchKind::contacts, [&](std::size_t branch) {
      const bool closed = ohms(branch) < between_open_and_closed;
      change.branches.push_back({branch, closed ? open_contacts : closed_contacts});
    });
  }

  void turn_diodes(NetworkChange& change, const std::string& device) const {
    for (const BranchKind kind : {BranchKind::diode, BranchKind::consumer}) {
      each(device, kind, [&](std::size_t branch) {
        if (network_.branches[branch].list == ElementList::diode) change.sources.push_back({branch, true});
      });
    }
  }

  void empty_pin(NetworkChange& change, const std::string& subject) const {
    each(subject, BranchKind::pin, [&](std::size_t branch) {
      if (is_resistor(branch)) return change.branches.push_back({branch, open_circuit});
      if (network_.branches[branch].list == ElementList::source) change.sources.push_back({branch, false});
    });
  }

  const LoomNetwork& network_;
  std::map<std::string, std::vector<std::size_t>> by_subject_;
  std::map<std::string, std::vector<std::pair<CrimpAt, std::size_t>>> crimps_at_;
};

}  // namespace

std::vector<NetworkChange> changes_of(const std::vector<Fault>& faults, const LoomNetwork& network) {
  const Changer changer(network);
  std::vector<NetworkChange> changes;
  changes.reserve(faults.size());
  for (const Fault& fault : faults) changes.push_back(changer.change_of(fault));
  return changes;
}

}  // namespace loomgraft
