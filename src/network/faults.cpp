#include "network/faults.h"

#include <array>

#include "loom/end_id.h"
#include "network/fault_list_internal.h"

namespace loomgraft {

using namespace network;
namespace {

constexpr std::array kind_names{"wire_open",       "terminal_unseated",  "bad_joint",
                                "short_to_earth",  "short_to_supply",    "bridged_cavities",
                                "chafed_together", "swapped_wires",      "one_cavity_off",
                                "mirrored_plug",   "opposite_contacts",  "reversed_diode",
                                "missing_pull_up", "dead_driver",        "blown_fuse",
                                "open_device",     "thin_wire",          "intermittent_joint",
                                "leak_to_earth",   "leak_between",       "shield_earthed_twice",
                                "two_in_cavity",   "plug_open",          "wrong_fuse",
                                "wrong_rating",    "wrong_earth",        "coil_for_24_v",
                                "coil_for_12_v",   "resistor_too_large", "resistor_too_small",
                                "stuck_driver",    "leaking_driver",     "blown_input"};
static_assert(kind_names.size() == fault_kinds);
constexpr std::array harm_names{"none", "false_signal", "damage", "fire"};

}  // namespace

const char* name_of(FaultKind kind) {
  return kind_names[static_cast<std::size_t>(kind)];
}

const char* name_of(Harm harm) {
  return harm_names[static_cast<std::size_t>(harm)];
}

std::string subject_id(const FaultSubject& subject) {
  return subject.kind == FaultSubject::Kind::end ? end_id(subject.end) : subject.id;
}

std::vector<Fault> faults_of(const LoomFrame& frame, const FaultOptions& options) {
  const FaultScope scope = fault_scope(frame, options.whole_loom);
  FaultList list(scope, options);
  add_wire_faults(list);
  add_chafing(list);
  for (const Connector& connector : frame.graft.connectors) add_plug_faults(list, connector);
  for (const Device* device : scope.devices) add_device_faults(list, *device);
  for (const Wire* wire : scope.wires) {
    for (const WireEnd* end : {&wire->from, &wire->to}) {
      add_pin_faults(list, *wire, *end);
      add_wrong_point(list, *wire, *end);
    }
  }
  return list.take();
}

std::vector<Fault> faults_of(const Graft& graft, const FaultOptions& options) {
  return faults_of(*frame_of(graft, LoomState::as_planned), options);
}

}  // namespace loomgraft
