#include "loom/end_id.h"
#include "network/fault_list_internal.h"
#include "standards/fault_odds.h"
#include "standards/network_figures.h"

namespace loomgraft::network {
namespace {

Ohms figure_of(std::string_view name, SystemVolts system) {
  return Ohms{network_figure(name, system).middle()};
}

// Of kinds that put a resistance somewhere; zero for the others. The second: up to this one.
std::pair<Ohms, Ohms> ohms_of(FaultKind kind, SystemVolts system) {
  switch (kind) {
    case FaultKind::short_to_earth:
    case FaultKind::short_to_supply:
    case FaultKind::bridged_cavities:
    case FaultKind::chafed_together:
    case FaultKind::shield_earthed_twice:
      return {figure_of("touch_ohm", system), {}};
    case FaultKind::leak_to_earth:
    case FaultKind::leak_between: {
      const Figure& damp = network_figure("damp_ohm", system);
      return {Ohms{damp.low()}, Ohms{damp.high()}};
    }
    case FaultKind::leaking_driver:
      return {figure_of("leaking_driver_ohm", system), {}};
    case FaultKind::blown_input:
      return {figure_of("blown_input_ohm", system), {}};
    default:
      return {};
  }
}

}  // namespace

FaultList::FaultList(const FaultScope& scope, const FaultOptions& options) : scope_(scope) {
  const SystemVolts system = scope.frame.system;
  const bool chosen = options.joint_ohms > 0.0;
  joint_ = chosen ? Ohms{options.joint_ohms} : figure_of("bad_joint_ohm", system);
  signal_joint_ = chosen ? joint_ : figure_of("bad_signal_joint_ohm", system);
}

Fault* FaultList::add(FaultKind kind, std::vector<FaultSubject> subjects, std::string text, Repair repair,
                      bool added, bool of_signal) {
  Fault fault;
  fault.kind = kind;
  fault.id = name_of(kind);
  const std::size_t named = kind == FaultKind::mirrored_plug ? 1 : subjects.size();
  for (std::size_t k = 0; k < named; ++k) fault.id += " " + subject_id(subjects[k]);
  if (!ids_.insert(fault.id).second) return nullptr;
  const FaultOdds& odds = fault_odds(name_of(kind));
  fault.subjects = std::move(subjects);
  fault.text = std::move(text);
  fault.repair = std::move(repair.id);
  fault.repair_text = std::move(repair.text);
  fault.prior = added ? odds.new_weight : odds.old_weight;
  fault.prior_source = odds.source + " (" + odds.status + ")";
  fault.added = added;
  std::tie(fault.ohms, fault.up_to) = ohms_of(kind, scope_.frame.system);
  if (kind == FaultKind::bad_joint) fault.ohms = of_signal ? signal_joint_ : joint_;
  faults_.push_back(std::move(fault));
  return &faults_.back();
}

std::vector<Fault> FaultList::take() {
  // Weights only compare kinds; how likely it is that there is a fault at all is for the search to say.
  double sum = 0.0;
  for (const Fault& fault : faults_) sum += fault.prior;
  for (Fault& fault : faults_) fault.prior /= sum;
  return std::move(faults_);
}

std::string text_of(const FaultScope& scope, const Wire& wire) {
  return "wire " + scope.frame.wire_texts.of(wire.id);
}

std::string text_of(const FaultScope& scope, const Wire& one, const Wire& other) {
  return "wires " + scope.frame.wire_texts.of(one.id) + " and " + scope.frame.wire_texts.of(other.id);
}

bool is_altered(const FaultScope& scope, const Wire* wire) {
  return wire && scope.altered.contains(wire->id);
}

Repair wire_repair(const FaultScope& scope, const Wire& wire) {
  return {"wire " + wire.id, "repair or replace " + text_of(scope, wire)};
}

Repair terminal_repair(const FaultScope& scope, const WireEnd& end) {
  return {"terminal " + end_id(end), "reseat or remake the terminal in " + end_name(scope.frame, end)};
}

}  // namespace loomgraft::network
