// What tests are planned for: the nets that faults are looked for in, the points that a probe reaches on them, and
// the devices, outputs and plugs in them. For the folder only.
#pragma once

#include <map>
#include <memory>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "loom/graft.h"
#include "network/faults.h"
#include "network/frame.h"
#include "prove/prove.h"
#include "standards/device_kinds.h"

namespace loomgraft::prove {

// Wires and terminals that are one conductor: through splices, and where wires share a terminal.
struct LoomNet {
  std::vector<WireEnd> points;  // cavities and terminals that a probe can touch, sorted
  std::vector<std::string> wires;
  bool earthed = false;  // an earth point or the battery's negative is on it
  bool feeds = false;    // the battery's positive is on it
  bool wanted = false;   // faults are looked for in it
  bool moved = false;    // a joint in it might open when it is moved
};

// A pin of a module that is unplugged, measured against another of it.
struct OwnPin {
  WireEnd pin;
  WireEnd against;  // an earth or a feed
  bool feed = false;
  auto operator<=>(const OwnPin&) const = default;
};

struct ProveScope {
  const Graft* graft = nullptr;
  std::shared_ptr<const LoomFrame> frame;  // of the planned loom
  std::vector<Wire> wires;                 // of the planned loom that faults are looked for in
  std::vector<LoomNet> nets;               // of the whole planned loom
  std::map<WireEnd, std::size_t> net_at;
  std::set<std::string> module_plugs;          // of the whole job, by id
  std::vector<std::string> switches;           // devices whose contacts are in doubt
  std::vector<std::string> fuses;              //
  std::vector<std::string> parts;              // every device of the scope but joints and batteries
  std::vector<CavityRef> outputs;              // of modules
  std::vector<OwnPin> own_pins;                // what may be wrong inside a module shows there
  std::vector<CavityRef> rails;                // cavities of feeds and earths of modules, at plugs that open
  std::vector<CavityRef> relay_outputs;        // of the whole loom: those whose wire leads to a relay's coil
  std::set<std::pair<WireEnd, WireEnd>> near;  // ends whose nets might touch: neighbours, bundle mates
  std::map<std::string, std::vector<WireEnd>> module_earths;  // cavities of power earths, by module
  std::string battery;                                        // device id, or empty
  std::vector<std::string> refused;                           // forbidden circuits, as sentences
  std::vector<PlaceAccess> accesses;                          // places that take minutes to open
  std::map<std::string, std::size_t> access_of;               // by device, those in such a place
};

ProveScope prove_scope(std::shared_ptr<const LoomFrame> frame, const std::vector<Fault>& faults);

DeviceBuild build_of(const ProveScope& scope, const std::string& device);
std::string end_text(const ProveScope& scope, const WireEnd& end);
// The same without the device's name.
std::string short_end_text(const ProveScope& scope, const WireEnd& end);
// Of the devices, rising, each once.
std::vector<std::size_t> accesses_to(const ProveScope& scope, const std::vector<std::string>& devices);
bool is_sealed(const ProveScope& scope, const std::string& connector);

}  // namespace loomgraft::prove
