// What matching looks at in a pin, in 24 bytes, so that a library of a hundred thousand modules fits in
// memory.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "compare/function_table.h"
#include "loom/graft.h"

namespace loomgraft {

struct PinKey {
  FunctionId function = 0;      // 0: nothing is known to be there
  FunctionId far_end = 0;       // of a bus with a legend the network's name; 0: not stated
  std::uint32_t cavity = 0;     // interned canonical cavity name
  std::uint16_t connector = 0;  // position in the module's list of connectors
  std::uint16_t colour = 0;     // base and tracer, 0 is unknown
  PinClass pin_class = PinClass::unknown;
  bool networked = false;  // a bus, and `far_end` is the network that the module's legend names
  bool populated = true;   // false: the source says that no terminal is in the loom's plug
  bool absent = false;     // the source says that this cavity is not used
  bool hardware = true;    // false: the source says that nothing is behind the module's pin
};

struct ConnectorKey {
  std::uint32_t name = 0;  // interned canonical connector name; 0 is unnamed
};

struct ModuleKey {
  std::vector<ConnectorKey> connectors;
  std::vector<PinKey> pins;  // in the module's order
};

// The same without ownership: what a library lends of one of its modules.
struct ModuleView {
  std::span<const ConnectorKey> connectors;
  std::span<const PinKey> pins;

  ModuleView() = default;
  ModuleView(std::span<const ConnectorKey> c, std::span<const PinKey> p) : connectors(c), pins(p) {}
  ModuleView(const ModuleKey& key)
      : connectors(key.connectors), pins(key.pins) {}  // NOLINT: meant to convert
};

// Interns the names that keys refer to. Keys are comparable only if one KeyTable made them.
class KeyTable {
 public:
  KeyTable();
  ModuleKey key_of(const Module& module, const std::vector<Connector>& connectors);
  const FunctionTable& functions() const { return functions_; }
  // The function that the pin's signal names, with what its remark tells apart ("alternate", "bank 2").
  FunctionId function_of(const Pin& pin);

 private:
  std::uint32_t intern(const std::string& name);
  PinKey pin_key(const Module& module, const Pin& pin, std::uint16_t connector);

  FunctionTable functions_;
  std::unordered_map<std::string, std::uint32_t> names_;
};

// Buses are numbered as each maker likes: there the name alone proves nothing.
bool is_bus(PinClass pin_class);

// The network that the module's legend names for a bus pin ("CAN2: Body"); empty where it names none.
std::string bus_network(const Module& module, const Pin& pin);

// "01" and "1" are one cavity, "a1" and "A1" are two: letter case distinguishes rows on large plugs.
std::string canonical_cavity(std::string_view cavity);
// "C-2", "c2" and "C 2" are one connector name.
std::string canonical_connector(std::string_view name);

}  // namespace loomgraft
