// The list of faults while it is made, and what its parts share: faults of wires, of plugs, of devices and pins.
#pragma once

#include <set>
#include <string>
#include <utility>
#include <vector>

#include "network/fault_scope.h"
#include "network/faults.h"

namespace loomgraft::network {

struct Repair {
  std::string id;
  std::string text;
};

class FaultList {
 public:
  FaultList(const FaultScope& scope, const FaultOptions& options);

  // `of_signal`: in the wire of a sensor or input. A joint of an ohm does nothing to some thousand; it takes some
  // hundred. The fault added, to be completed; null where the list has it already.
  Fault* add(FaultKind kind, std::vector<FaultSubject> subjects, std::string text, Repair repair, bool added,
             bool of_signal = false);

  // With priors that sum to one.
  std::vector<Fault> take();

  const FaultScope& scope() const { return scope_; }

 private:
  const FaultScope& scope_;
  Ohms joint_;
  Ohms signal_joint_;
  std::vector<Fault> faults_;
  std::set<std::string> ids_;
};

std::string text_of(const FaultScope& scope, const Wire& wire);
std::string text_of(const FaultScope& scope, const Wire& one, const Wire& other);
bool is_altered(const FaultScope& scope, const Wire* wire);
Repair wire_repair(const FaultScope& scope, const Wire& wire);
Repair terminal_repair(const FaultScope& scope, const WireEnd& end);

void add_swap(FaultList& list, const WireEnd& a, const WireEnd& b, const Wire& first, const Wire& second);

void add_wire_faults(FaultList& list);
void add_chafing(FaultList& list);
void add_plug_faults(FaultList& list, const Connector& connector);
void add_device_faults(FaultList& list, const Device& device);
void add_pin_faults(FaultList& list, const Wire& wire, const WireEnd& end);
// The wire at a fuse or an earth point that belongs to another one.
void add_wrong_point(FaultList& list, const Wire& wire, const WireEnd& end);

}  // namespace loomgraft::network
