// The loom in one state, indexed: what all its networks share, whatever the condition and the corner.
//
// Model   wires by their ends, devices, connectors, places and paths by id, the modules that are plugged in
//         and their pins, and what belongs to a restraint or high-voltage circuit
// Needs   a graft that outlives the frame
// Gives   one index for all that work on the loom: build it once with frame_of() and pass it on
// Cost    n log n for n wires
#pragma once

#include <map>
#include <set>
#include <string>
#include <unordered_map>
#include <vector>

#include "loom/forbidden.h"
#include "loom/part_text.h"
#include "network/cavity_pins.h"
#include "network/loom_network.h"
#include "standards/device_kinds.h"
#include "standards/pin_states.h"

namespace loomgraft {

// An end as the document writes it, and the loom's end that it stands for.
struct ResolvedEnd {
  WireEnd written;
  WireEnd end;
};

template <class Item>
using ById = std::unordered_map<std::string, const Item*>;

struct LoomFrame {
  const Graft& graft;
  SystemVolts system;
  std::vector<Wire> wires{};  // of the loom state, sorted by id as planned, with resolved ends
  std::vector<ResolvedEnd> resolved_ends{};
  ById<Device> devices{};
  ById<Connector> connectors{};
  ById<LoomPlace> places{};
  ById<LoomPath> paths{};
  std::vector<const Module*> modules{};  // that are plugged in
  // Donor's connector to the loom's plug that takes it.
  std::unordered_map<std::string, std::string> plug_of{};
  std::map<CavityRef, PinAt> pins{};  // by the loom's plug and cavity
  std::set<WireEnd> wired{};          // ends that the document joins to something
  ForbiddenParts forbidden{};         // presumed or known
  WireTexts wire_texts{};             // what people call its wires
  std::vector<Wire>
      allowed{};  // the wires that are not forbidden, nor an end of theirs; ends as the document has them
  std::map<WireEnd, std::size_t> allowed_at{};  // by end: index of the first of the allowed wires there
  std::vector<Assumption> assumptions{};
  Problems problems{};
};

// Part of a restraint or high-voltage circuit.
bool is_forbidden(const LoomFrame& frame, const WireEnd& end);

// Null where there is none.
const Device* find_device(const LoomFrame& frame, const std::string& id);
const Wire* allowed_wire_at(const LoomFrame& frame, const WireEnd& end);
// `unknown` for an id that is no device, or a device of a kind that the program does not know.
DeviceBuild build_of(const LoomFrame& frame, const std::string& device);

// For people: "C1-14", "PTO valve 1"; the device alone where it has one terminal.
std::string end_name(const LoomFrame& frame, const WireEnd& end);

}  // namespace loomgraft
