// Looms drawn at random with a plan that adds part of them, a plug with a face, plugs in the middle of wires,
// bundles, and a circuit that nothing may touch.
#pragma once

#include <algorithm>
#include <random>
#include <string>

#include "loom/graft.h"
#include "tests/network/random_loom.h"

namespace loomgraft::samples {

// `count` cavities "1", "2", ... in rows of `columns`, 4 mm apart both ways.
inline std::vector<CavityRow> rows_of(int count, int columns) {
  std::vector<CavityRow> rows;
  for (int k = 0; k < count; ++k) {
    if (k % columns == 0) {
      rows.emplace_back();
      rows.back().pitch = millimetres(4);
      rows.back().y = millimetres(4.0 * (k / columns));
    }
    rows.back().cavities.push_back(std::to_string(k + 1));
  }
  return rows;
}

inline PlanStep addition(Wire added) {
  PlanStep step;
  step.action = PlanAction::add;
  step.wire = added.id;
  step.added = std::move(added);
  return step;
}

// A wire in one of the module's cavities and one to a device, both of the restraint system.
inline void add_forbidden(Graft& graft) {
  Module& module = graft.modules.front();
  const std::string plug = module.connectors.front();
  const std::string cavity = std::to_string(module.pins.size() + 1);
  module.pins.push_back(pin(plug + ":" + cavity, PinClass::low_side_driver));
  module.pins.back().forbidden = true;
  graft.devices.push_back(device("SQUIB", "resistor"));
  graft.devices.back().forbidden = true;
  graft.wires.push_back(wire("f1", plug + ":" + cavity, "E1:"));
  graft.wires.push_back(wire("f2", "BAT:+", "SQUIB:1"));
}

// Some wires pass a plug in the middle of the loom, one cavity each.
inline void add_middle_plug(Graft& graft, std::mt19937_64& random) {
  graft.connectors.push_back(connector("X1"));
  graft.connectors.push_back(connector("X2"));
  graft.connectors[1].mates = "X2";
  int cavities = 0;
  const std::size_t count = graft.wires.size();
  for (std::size_t k = 0; k < count; ++k) {
    if (random() % 6 != 0 || graft.wires[k].id.starts_with('f')) continue;
    Wire second = graft.wires[k];
    second.id += "b";
    second.from = {"X2", std::to_string(++cavities)};
    graft.wires[k].to = {"X1", second.from.cavity};
    graft.wires.push_back(std::move(second));
  }
  for (const std::size_t k : {1u, 2u}) graft.connectors[k].rows = rows_of(cavities + 2, 4);
}

inline DrawnLoom random_graft(std::uint64_t seed, int circuits, double volts = 12.0) {
  DrawnLoom loom = random_loom(seed, circuits, volts);
  Graft& graft = loom.graft;
  std::mt19937_64 random(seed + 1000);
  add_forbidden(graft);
  graft.connectors.front().rows = rows_of(static_cast<int>(graft.modules.front().pins.size()) + 3, 5);
  add_middle_plug(graft, random);
  for (const char* id : {"p1", "p2", "p3"}) {
    graft.paths.emplace_back();
    graft.paths.back().id = id;
    graft.paths.back().length = Metres{1.5};
  }
  std::vector<Wire> found;
  for (Wire& wire : graft.wires) {
    wire.along = {"p" + std::to_string(random() % 3 + 1)};
    if (random() % 3 == 0 && !wire.id.starts_with('f'))
      graft.plan.push_back(addition(wire));
    else
      found.push_back(wire);
  }
  graft.wires = std::move(found);
  return loom;
}

}  // namespace loomgraft::samples
