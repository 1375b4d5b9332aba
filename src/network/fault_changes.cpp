// What each fault means for one network: which branches change, what is bridged.
#include <limits>
#include <map>
#include <set>
#include <string_view>

#include "loom/end_id.h"
#include "network/faults.h"
#include "standards/network_figures.h"

namespace loomgraft {
namespace {

constexpr Ohms opened{std::numeric_limits<double>::infinity()};

// The fault's own figure, else the default; bridges and joints are the same at 12 V and at 24 V.
Ohms ohms_or_default(const Fault& fault, std::string_view figure) {
  if (fault.ohms.si > 0.0) return fault.ohms;
  return {network_figure(figure, SystemVolts::nominal_12).middle()};
}

class Changer {
 public:
  explicit Changer(const LoomNetwork& network) : network_(network) {
    for (std::size_t k = 0; k < network.branches.size(); ++k) {
      const NetworkBranch& branch = network.branches[k];
      by_subject_[branch.subject].push_back(k);
      if (branch.kind != BranchKind::contact) continue;
      contacts_on_[branch.a].push_back(k);
      contacts_on_[branch.b].push_back(k);
    }
    for (const auto& [end, node] : network.face_nodes) face_nodes_.insert(node);
    for (const auto& [at, branch] : network.crimps) {
      crimps_of_[at.wire].push_back({at.end.at, branch});
      crimps_on_[network.branches[branch].b].push_back(branch);
    }
  }

  NetworkChange change_of(const Fault& fault) const {
    NetworkChange change;
    const std::vector<FaultSubject>& subjects = fault.subjects;
    switch (fault.kind) {
      case FaultKind::wire_open:
        open(change, subjects[0].id, BranchKind::wire);
        break;
      case FaultKind::terminal_unseated:
      case FaultKind::intermittent_joint:  // while it is open
        unseat(change, {subjects[1].id, subjects[0].end});
        break;
      case FaultKind::bad_joint:
        if (const auto branch = crimp({subjects[1].id, subjects[0].end}))
          change.branches.push_back({*branch, ohms(*branch) + ohms_or_default(fault, "bad_joint_ohm")});
        break;
      case FaultKind::short_to_earth:
      case FaultKind::short_to_supply:
      case FaultKind::bridged_cavities:
      case FaultKind::chafed_together:
      case FaultKind::leak_to_earth:
      case FaultKind::leak_between:
      case FaultKind::shield_earthed_twice:
        touch(change, fault);
        break;
      case FaultKind::swapped_wires:
        move_terminals(change, {{subjects[0].end, subjects[1].end}, {subjects[1].end, subjects[0].end}});
        break;
      case FaultKind::one_cavity_off:
      case FaultKind::two_in_cavity:
        move_terminals(change, {{subjects[0].end, subjects[1].end}});
        break;
      case FaultKind::mirrored_plug:
        mirror(change, subjects);
        break;
      case FaultKind::opposite_contacts:
        exchange_contacts(change, subjects[0].id);
        break;
      case FaultKind::reversed_diode:
        reverse_diodes(change, subjects[0].id);
        break;
      case FaultKind::missing_pull_up:
      case FaultKind::dead_driver:
        open_pin(change, subjects[0].end);
        break;
      case FaultKind::blown_fuse:
        open(change, subjects[0].id, BranchKind::fuse);
        break;
      case FaultKind::open_device:
        open(change, subjects[0].id, BranchKind::consumer);
        open(change, subjects[0].id, BranchKind::sensor);
        break;
      case FaultKind::thin_wire:
        scale(change, subjects[0].id, BranchKind::wire, 1.0 / default_figure("thin_wire_share"));
        break;
      case FaultKind::resistor_too_large:
        scale(change, subjects[0].id, BranchKind::consumer, 10.0);
        break;
      case FaultKind::resistor_too_small:
        scale(change, subjects[0].id, BranchKind::consumer, 0.1);
        break;
      case FaultKind::plug_open:
        open_plug(change, subjects[0].id);
        break;
      case FaultKind::wrong_fuse:
      case FaultKind::wrong_earth:
        move_wire(change, {subjects[2].id, subjects[0].end}, subjects[1].end);
        break;
      case FaultKind::coil_for_24_v:
        scale(change, subjects[0].id, BranchKind::consumer, 4.0);
        leave_at_rest(change, subjects[0].id);
        break;
      case FaultKind::coil_for_12_v:
        scale(change, subjects[0].id, BranchKind::consumer, 0.25);
        break;
      case FaultKind::stuck_driver:
      case FaultKind::leaking_driver:
      case FaultKind::blown_input:
        join_inside(change, subjects[0].end, subjects[1].end, fault.ohms);
        break;
      case FaultKind::wrong_rating:
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
      if (is_resistor(branch)) return change.branches.push_back({branch, opened});
      change.sources.push_back({branch, false});
    });
  }

  // A wire's end may be written otherwise than it was resolved: a splice or an earth has one name for all its
  // terminals, a donor's plug is the loom's.
  std::optional<std::size_t> crimp(const CrimpAt& at) const {
    const auto found = network_.crimps.find(at);
    if (found != network_.crimps.end()) return found->second;
    const auto of_wire = crimps_of_.find(at.wire);
    if (of_wire == crimps_of_.end()) return std::nullopt;
    const auto node = node_at(network_, at.end);
    for (const auto& [device, branch] : of_wire->second) {
      if (device == at.end.at || (node && network_.branches[branch].b == *node)) return branch;
    }
    return std::nullopt;
  }

  // A terminal that is not seated touches neither its mate nor a probe from the front.
  void unseat(NetworkChange& change, const CrimpAt& at) const {
    const auto node = node_at(network_, at.end);
    const auto contacts = node ? contacts_on_.find(*node) : contacts_on_.end();
    if (contacts != contacts_on_.end()) {
      for (const std::size_t branch : contacts->second) change.branches.push_back({branch, opened});
    } else if (const auto branch = crimp(at)) {
      change.branches.push_back({*branch, opened});
    }
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
    for (const auto& [end, node] : network_.end_nodes) {
      if (end.at == battery && end.cavity == "+") return node;
    }
    return std::nullopt;
  }

  void touch(NetworkChange& change, const Fault& fault) const {
    const FaultSubject& one = fault.subjects.front();
    const FaultSubject& other = fault.subjects.back();
    const bool cavities = fault.kind == FaultKind::bridged_cavities || fault.kind == FaultKind::leak_between;
    const std::optional<NodeId> a = cavities ? node_at(network_, one.end) : middle_of(one.id);
    std::optional<NodeId> b = earth_node;
    if (cavities) b = node_at(network_, other.end);
    if (fault.kind == FaultKind::short_to_supply) b = supply_of(other.id);
    if (fault.kind == FaultKind::chafed_together) b = middle_of(other.id);
    if (a && b && *a != *b) change.bridges.push_back({*a, *b, ohms_or_default(fault, "touch_ohm")});
  }

  // Terminals leave their cavities with all the wires they hold. The cavity left behind is empty: a probe
  // finds nothing in it.
  void move_terminals(NetworkChange& change, const std::vector<std::pair<WireEnd, WireEnd>>& moves) const {
    std::set<NodeId> taken;
    for (const auto& [from, to] : moves) {
      if (const auto place = node_at(network_, to)) taken.insert(*place);
    }
    for (const auto& [from, to] : moves) {
      const auto left = node_at(network_, from);
      const auto crimps = left ? crimps_on_.find(*left) : crimps_on_.end();
      if (crimps == crimps_on_.end()) continue;
      const auto place = node_at(network_, to);
      for (const std::size_t branch : crimps->second) {
        change.branches.push_back({branch, opened});
        if (place) change.bridges.push_back({network_.branches[branch].a, *place, ohms(branch)});
      }
      const auto contacts = contacts_on_.find(*left);
      if (taken.contains(*left) || contacts == contacts_on_.end()) continue;
      for (const std::size_t branch : contacts->second) change.branches.push_back({branch, opened});
    }
  }

  void scale(NetworkChange& change, const std::string& subject, BranchKind kind, double factor) const {
    each(subject, kind, [&](std::size_t branch) {
      if (is_resistor(branch)) change.branches.push_back({branch, ohms(branch) * factor});
    });
  }

  void open_plug(NetworkChange& change, const std::string& plug) const {
    for (std::size_t k = 0; k < network_.branches.size(); ++k) {
      const NetworkBranch& branch = network_.branches[k];
      const bool here =
          network_.nodes[branch.a.value].at.at == plug || network_.nodes[branch.b.value].at.at == plug;
      const bool face = face_nodes_.contains(branch.a) || face_nodes_.contains(branch.b);
      if (branch.kind == BranchKind::contact && here && !face) change.branches.push_back({k, opened});
    }
  }

  // One wire leaves the terminal that it shares with others.
  void move_wire(NetworkChange& change, const CrimpAt& at, const WireEnd& to) const {
    const auto left = crimp(at);
    const auto place = node_at(network_, to);
    if (!left) return;
    change.branches.push_back({*left, opened});
    if (place) change.bridges.push_back({network_.branches[*left].a, *place, ohms(*left)});
  }

  void leave_at_rest(NetworkChange& change, const std::string& device) const {
    for (const NetworkRelay& relay : network_.relays) {
      if (relay.device != device) continue;
      for (const std::size_t branch : relay.make) change.branches.push_back({branch, relay.open});
      for (const std::size_t branch : relay.break_) change.branches.push_back({branch, relay.closed});
    }
  }

  // A pin and a rail of its module. A module without a battery feed has only a switched one.
  void join_inside(NetworkChange& change, const WireEnd& pin, const WireEnd& rail, Ohms resistance) const {
    const auto at = inner_node_at(network_, pin);
    auto to = inner_node_at(network_, rail);
    if (!to) to = inner_node_at(network_, {rail.at, "switched feed"});
    if (at && to && *at != *to) change.bridges.push_back({*at, *to, resistance});
  }

  // Subjects: the plug, then of each wire its cavity, the one that mirrors it, and the wire.
  void mirror(NetworkChange& change, const std::vector<FaultSubject>& subjects) const {
    std::vector<std::pair<WireEnd, WireEnd>> moves;
    for (std::size_t k = 1; k + 2 < subjects.size(); k += 3)
      moves.emplace_back(subjects[k].end, subjects[k + 1].end);
    move_terminals(change, moves);
  }

  void exchange_contacts(NetworkChange& change, const std::string& device) const {
    for (std::size_t k = 0; k < network_.relays.size(); ++k) {
      if (network_.relays[k].device == device) change.relays_opposite.push_back(k);
    }
    if (!change.relays_opposite.empty()) return;
    each(device, BranchKind::contacts, [&](std::size_t branch) {
      if (const auto turned = network_.branches[branch].turned) change.branches.push_back({branch, *turned});
    });
  }

  void reverse_diodes(NetworkChange& change, const std::string& device) const {
    for (const BranchKind kind : {BranchKind::diode, BranchKind::consumer}) {
      each(device, kind, [&](std::size_t branch) {
        if (network_.branches[branch].list == ElementList::diode) change.sources.push_back({branch, true});
      });
    }
  }

  // The module's own sources reach the pin through a resistor of the pin.
  void open_pin(NetworkChange& change, const WireEnd& written) const {
    const auto node = node_at(network_, written);
    each(end_id(node ? network_.nodes[node->value].at : written), BranchKind::pin, [&](std::size_t branch) {
      if (is_resistor(branch)) change.branches.push_back({branch, opened});
    });
  }

  const LoomNetwork& network_;
  std::map<std::string, std::vector<std::size_t>> by_subject_;
  std::map<NodeId, std::vector<std::size_t>> contacts_on_;
  std::set<NodeId> face_nodes_;                                                        // of open plugs
  std::map<NodeId, std::vector<std::size_t>> crimps_on_;                               // a terminal's
  std::map<std::string, std::vector<std::pair<std::string, std::size_t>>> crimps_of_;  // a wire's
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
